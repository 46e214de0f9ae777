// A place pointed at on a picture: a touch is a point, a drag is a frame, arrow keys move a crosshair; where corners or
// several places are asked for, one after another. Whatever is done only fills the fields beneath; those are sent, and
// without this file they are typed.

for (const part of document.querySelectorAll(".point-at")) {
  const form = part.closest("form");
  const image = part.querySelector("img");
  const [wide, high] = [Number(part.dataset.width), Number(part.dataset.height)];
  const field = (name) => form.elements[name];
  const says = document.getElementById(`${part.dataset.fills}-says`);
  const how = document.getElementById(`${part.dataset.fills}-how`);
  const atOnce = part.dataset.atOnce === "yes";
  const [nx, ny, nw, nh] = (part.dataset.names ?? "").split(" ");
  // What is drawn: a place, corners, or one frame after another.
  const mode = () => {
    if (part.dataset.frames && form.elements.laid?.value === "singly") return "frames";
    return part.dataset.points ? "points" : "place";
  };
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

  const number = (name) => { const v = parseInt(field(name)?.value, 10); return Number.isFinite(v) ? v : null; };
  let at = [number(nx) ?? Math.round(wide / 2), number(ny) ?? Math.round(high / 2)];
  let draft = null;
  let began = null;
  const within = (v, most) => Math.min(Math.max(Math.round(v), 0), most);
  const percent = (v, of) => `${(100 * v) / of}%`;

  // Corners and frames that the fields hold, as marks with their numbers.
  const corners = () => field(part.dataset.points).value.split(" ").map((p) => p.split(",").map(Number)).filter((p) => p.length === 2 && p.every(Number.isFinite));
  const frames = () => field(part.dataset.frames).value.split("\n").map((f) => f.split(",").map(Number)).filter((f) => f.length === 4 && f.every(Number.isFinite));
  const marked = () => {
    for (const old of part.querySelectorAll(".spot.drawn")) old.remove();
    const all = { points: corners, frames: () => frames().map(([x, y, w, h]) => [x + w / 2, y + h / 2]), place: () => [] }[mode()]();
    all.forEach(([x, y], n) => {
      const mark = document.createElement("span");
      mark.className = "spot drawn";
      mark.setAttribute("aria-hidden", "true");
      mark.textContent = n + 1;
      mark.style.left = percent(x, wide);
      mark.style.top = percent(y, high);
      part.append(mark);
    });
  };
  const show = () => {
    const [x, y, w, h] = draft ?? [nx, ny, nw, nh].map(number);
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
    marked();
  };
  const tell = (words) => { says.textContent = words; };
  const typed = (one) => one.dispatchEvent(new Event("input", { bubbles: true }));
  const point = (x, y) => {
    at = [within(x, wide - 1), within(y, high - 1)];
    if (mode() === "place") {
      [field(nx).value, field(ny).value] = at;
      field(nw).value = field(nh).value = "";
    }
    show();
  };
  const corner = () => {
    const all = corners();
    if (all.length >= 4) all.length = 0;
    all.push(at);
    field(part.dataset.points).value = all.map((p) => p.join(",")).join(" ");
    typed(field(part.dataset.points));
    show();
    tell(`Corner ${all.length} of 4 at ${at[0]},${at[1]}.${all.length === 4 ? " Enter, or the button beneath, goes on." : ""}`);
  };
  const framed = (from, to) => {
    const [l, r] = [from[0], to[0]].sort((a, b) => a - b).map((v) => within(v, wide));
    const [t, b] = [from[1], to[1]].sort((a, b) => a - b).map((v) => within(v, high));
    if (mode() === "place") [field(nx).value, field(ny).value, field(nw).value, field(nh).value] = [l, t, r - l, b - t];
    else draft = [l, t, r - l, b - t];
    show();
    tell(`A frame from ${l},${t} to ${r},${b}.`);
  };
  // A frame that is one of several is done: written beneath the others.
  const done = () => {
    if (mode() !== "frames" || !draft) return;
    const into = field(part.dataset.frames);
    if (draft[2] && draft[3]) into.value = `${into.value.trimEnd()}\n${draft.join(",")}`.trim();
    draft = null;
    typed(into);
    show();
    tell(`Place ${frames().length} is drawn.`);
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
    if (down.drawn && mode() !== "points") framed(down.from, place(event));
  });
  part.addEventListener("pointerup", (event) => {
    if (!down) return;
    const { from, drawn } = down;
    down = null;
    if (drawn && mode() !== "points") { framed(from, place(event)); done(); return; }
    point(...from);
    if (mode() === "points") { corner(); return; }
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
      if (mode() === "points") corner();
      else if (began) { framed(began, at); began = null; tell(`${says.textContent} Enter takes it.`); done(); }
      else { began = [...at]; tell(`A frame begins at ${at[0]},${at[1]}; move to its other corner, then Space.`); }
    } else if (event.key === "Enter") {
      if (mode() === "place" && !began && !number(nw)) point(...at);
      began = null;
      form.requestSubmit();
    } else if (event.key === "Escape") {
      began = draft = null;
      if (mode() === "points") field(part.dataset.points).value = "";
      if (mode() === "frames") field(part.dataset.frames).value = field(part.dataset.frames).value.trim().split("\n").slice(0, -1).join("\n");
      point(...at);
      tell({ place: "No frame.", points: "No corner.", frames: `${mode() === "frames" ? frames().length : 0} places are drawn.` }[mode()]);
    } else return;
    event.preventDefault();
  });
  for (const name of [nx, ny, nw, nh, part.dataset.points, part.dataset.frames, "laid"].filter((one) => one && field(one))) {
    const heard = name === "laid" ? form : field(name);
    heard.addEventListener(name === "laid" ? "change" : "input", (event) => {
      if (event.isTrusted === false) return;
      if (nx) at = [number(nx) ?? at[0], number(ny) ?? at[1]];
      show();
    });
  }
  show();
}
