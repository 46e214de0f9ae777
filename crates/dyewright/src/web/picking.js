// A place pointed at on a picture: a touch is a point, a drag is a frame, arrow keys move a crosshair. Whatever is done
// only fills the numbers beneath; those are sent, and without this file they are typed.

for (const part of document.querySelectorAll(".point-at")) {
  const form = part.closest("form");
  const image = part.querySelector("img");
  const [wide, high] = [Number(part.dataset.width), Number(part.dataset.height)];
  const field = (name) => form.elements[name];
  const says = document.getElementById(`${part.dataset.fills}-says`);
  const how = document.getElementById(`${part.dataset.fills}-how`);
  const atOnce = part.dataset.atOnce === "yes";
  for (const hidden of form.querySelectorAll(".needs-script")) hidden.hidden = false;

  const cross = document.createElement("div");
  cross.className = "cross";
  cross.tabIndex = 0;
  cross.setAttribute("role", "application");
  cross.setAttribute("aria-label", "Crosshair on the picture");
  cross.setAttribute("aria-describedby", how.id);
  const frame = document.createElement("div");
  frame.className = "frame";
  frame.hidden = true;
  part.append(frame, cross);

  const number = (name) => { const v = parseInt(field(name).value, 10); return Number.isFinite(v) ? v : null; };
  let at = [number("x") ?? Math.round(wide / 2), number("y") ?? Math.round(high / 2)];
  let began = null;
  const within = (v, most) => Math.min(Math.max(Math.round(v), 0), most);
  const percent = (v, of) => `${(100 * v) / of}%`;

  const show = () => {
    const [x, y, w, h] = ["x", "y", "w", "h"].map(number);
    const framed = x !== null && y !== null && w && h;
    frame.hidden = !framed;
    if (framed) {
      frame.style.left = percent(x, wide);
      frame.style.top = percent(y, high);
      frame.style.width = percent(w, wide);
      frame.style.height = percent(h, high);
    }
    cross.style.left = percent(at[0], wide);
    cross.style.top = percent(at[1], high);
  };
  const tell = (words) => { says.textContent = words; };
  const point = (x, y) => {
    at = [within(x, wide - 1), within(y, high - 1)];
    [field("x").value, field("y").value] = at;
    field("w").value = field("h").value = "";
    show();
  };
  const framed = (from, to) => {
    const [l, r] = [from[0], to[0]].sort((a, b) => a - b).map((v) => within(v, wide));
    const [t, b] = [from[1], to[1]].sort((a, b) => a - b).map((v) => within(v, high));
    [field("x").value, field("y").value, field("w").value, field("h").value] = [l, t, r - l, b - t];
    show();
    tell(`A frame from ${l},${t} to ${r},${b}.`);
  };
  const place = (event) => {
    const box = image.getBoundingClientRect();
    return [((event.clientX - box.left) / box.width) * wide, ((event.clientY - box.top) / box.height) * high];
  };

  // A finger draws only where it began on the picture; a scroll of the page is a scroll.
  let down = null;
  part.addEventListener("pointerdown", (event) => {
    if (event.button !== 0) return;
    down = { from: place(event), x: event.clientX, y: event.clientY, drawn: false };
    part.setPointerCapture(event.pointerId);
    event.preventDefault();
    cross.focus({ preventScroll: true });
  });
  part.addEventListener("pointermove", (event) => {
    if (!down) return;
    down.drawn ||= Math.hypot(event.clientX - down.x, event.clientY - down.y) > 6;
    if (down.drawn) framed(down.from, place(event));
  });
  part.addEventListener("pointerup", (event) => {
    if (!down) return;
    const { from, drawn } = down;
    down = null;
    if (drawn) { framed(from, place(event)); return; }
    point(...from);
    tell(`The point ${at[0]},${at[1]}.`);
    if (atOnce) form.requestSubmit();
  });
  part.addEventListener("pointercancel", () => { down = null; });

  cross.addEventListener("keydown", (event) => {
    const step = event.shiftKey ? 1 : Math.max(1, Math.round(Math.min(wide, high) / 100));
    const by = { ArrowLeft: [-step, 0], ArrowRight: [step, 0], ArrowUp: [0, -step], ArrowDown: [0, step] }[event.key];
    if (by) {
      at = [within(at[0] + by[0], wide - 1), within(at[1] + by[1], high - 1)];
      if (began) framed(began, at); else { point(...at); tell(`At ${at[0]},${at[1]}.`); }
      show();
    } else if (event.key === " ") {
      if (began) { framed(began, at); began = null; tell(`${says.textContent} Enter takes it.`); }
      else { began = [...at]; tell(`A frame begins at ${at[0]},${at[1]}; move to its other corner, then Space.`); }
    } else if (event.key === "Enter") {
      if (!began && !number("w")) point(...at);
      began = null;
      form.requestSubmit();
    } else if (event.key === "Escape") { began = null; point(...at); tell("No frame."); } else return;
    event.preventDefault();
  });
  for (const name of ["x", "y", "w", "h"]) {
    field(name).addEventListener("input", () => { at = [number("x") ?? at[0], number("y") ?? at[1]]; show(); });
  }
  show();
}
