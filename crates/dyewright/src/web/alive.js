// What must be alive in a page: a picked colour put into its field, a plan's progress, the clocks beside the pot.
// Every page works without this file; nothing here decides anything.

for (const picker of document.querySelectorAll("input[type=color][data-fills]")) {
  const field = document.getElementById(picker.dataset.fills);
  picker.addEventListener("input", () => { field.value = picker.value; });
  field.addEventListener("input", () => {
    if (/^#[0-9a-f]{6}$/i.test(field.value.trim())) picker.value = field.value.trim().toLowerCase();
  });
}

// What was typed survives a reload and the back button: of a form that changes something until it is sent, of a question
// until the page is closed. What an address or a refusal put into a field stands as it is.
const isQuestion = (field) => field.form.method === "get";
const kept = (field) => `typed:${location.pathname}${isQuestion(field) ? "" : location.search}:${field.form.getAttribute("action")}:${field.form.elements.of?.value ?? ""}:${field.form.elements.id?.value ?? ""}:${field.form.elements.kind?.value ?? ""}:${field.name}`;
try {
  const sent = JSON.parse(sessionStorage.getItem("sent") ?? "null");
  const answers = performance.getEntriesByType("navigation")[0]?.type === "navigate" && document.referrer.split("#")[0] === sent?.from;
  if (answers) for (const key of sent.keys) sessionStorage.removeItem(key);
  sessionStorage.removeItem("sent");
} catch { /* A browser that keeps nothing. */ }
const asItCame = new URLSearchParams(location.search);
for (const field of document.querySelectorAll("form input:not([type=hidden], [type=color], [type=file], [type=checkbox], [type=radio]), form select, form textarea")) {
  if (document.getElementById("trouble")) break;
  if (!field.name || (isQuestion(field) && asItCame.size > 0)) continue;
  let was = null;
  try { was = sessionStorage.getItem(kept(field)); } catch { break; /* A browser that keeps nothing: the page works without. */ }
  if (was !== null && was !== field.value) {
    field.value = was;
    for (let up = field.closest("details"); up; up = up.parentElement.closest("details")) up.open = true;
  }
  field.addEventListener("input", () => sessionStorage.setItem(kept(field), field.value));
}

// A form that was sent is forgotten only by the page that answers it: when the workroom was shut meanwhile, no page came.
const plain = (address) => address.split("#")[0];
for (const form of document.querySelectorAll("form[method=post]")) {
  form.addEventListener("submit", () => {
    try {
      const keys = [...form.elements].filter((field) => field.name).map(kept);
      sessionStorage.setItem("sent", JSON.stringify({ from: plain(location.href), keys }));
    } catch { /* As above. */ }
  });
}

document.getElementById("trouble")?.focus();

for (const busy of document.querySelectorAll("[data-progress]")) {
  const bar = busy.querySelector("progress");
  const doing = busy.querySelector("[data-doing]");
  const look = async () => {
    try {
      const answer = await fetch(busy.dataset.progress);
      const at = await answer.json();
      if (!at.busy) { location.reload(); return; }
      if (at.of) { bar.max = at.of; bar.value = at.done; }
      if (at.doing) doing.textContent = at.doing;
    } catch {
      doing.textContent = "the workroom does not answer; is it still open?";
    }
    setTimeout(look, 400);
  };
  setTimeout(look, 300);
}

// What others change, on the laptop or on a phone: load the page again when it is no longer what stands here; not while
// somebody types.
const watched = document.querySelector("[data-watch]");
if (watched) {
  setInterval(async () => {
    if (document.hidden || /^(INPUT|SELECT|TEXTAREA)$/.test(document.activeElement?.tagName ?? "")) return;
    try {
      const answer = await fetch(watched.dataset.watch);
      if ((await answer.json()).now !== watched.dataset.nowAsking) location.reload();
    } catch { /* The workroom is shut: there is nothing to watch. */ }
  }, watched.matches(".clock") ? 4000 : 1500);
}

// Instants come from the workroom; the page only shows how far off they are, by the workroom's own clock.
const clock = document.querySelector("[data-now]");
if (clock) {
  const ahead = Number(clock.dataset.now) - Date.now();
  const timers = [...document.querySelectorAll("[data-ends]")];
  const said = document.querySelector("[data-said]");
  const two = (n) => String(n).padStart(2, "0");
  const rung = new Map();
  const show = () => {
    const now = Date.now() + ahead;
    let rings = false;
    for (const timer of timers) {
      const left = Math.round((Number(timer.dataset.ends) - now) / 1000);
      const far = Math.abs(left);
      const words = `${Math.floor(far / 3600) ? `${Math.floor(far / 3600)}:` : ""}${two(Math.floor(far / 60) % 60)}:${two(far % 60)}`;
      const told = left > 0 ? `${words} left` : `Time: step ${timer.dataset.step}, ${words} over`;
      if (timer.textContent !== told) timer.textContent = told;
      timer.classList.toggle("over", left <= 0);
      if (left > 0 || left <= -600) continue;
      rings = true;
      // Again every half minute, for ten: somebody may be at the sink.
      const time = Math.floor(-left / 30);
      if (rung.get(timer.dataset.step) !== time) {
        rung.set(timer.dataset.step, time);
        ring();
        if (said) said.textContent = `Time: step ${timer.dataset.step} is over.`;
      }
    }
    document.title = rings ? document.title.replace(/^(⏰ )?/, "⏰ ") : document.title.replace(/^⏰ /, "");
    where(now);
  };

  // The mark on the curve goes on along the line as it is drawn.
  const at = document.querySelector("[data-step-began]");
  const line = document.querySelector("line.here");
  const dot = document.querySelector("circle.here");
  const points = (document.querySelector(".here-curve polyline")?.getAttribute("points") ?? "").split(" ").map((p) => p.split(",").map(Number));
  const where = (now) => {
    if (!at || !line || points.length < 2) return;
    const passed = Math.max(0, (now - Number(at.dataset.stepBegan)) / 60000);
    const minute = Number(at.dataset.stepAt) + Math.min(passed, Number(at.dataset.stepMin));
    const x = Number(line.dataset.left) + Number(line.dataset.perMin) * minute;
    const next = Math.max(1, points.findIndex((p) => p[0] > x) < 0 ? points.length - 1 : points.findIndex((p) => p[0] > x));
    const [[x0, y0], [x1, y1]] = [points[next - 1], points[next]];
    const y = y0 + (y1 - y0) * Math.min(1, Math.max(0, (x - x0) / Math.max(1e-9, x1 - x0)));
    line.setAttribute("x1", x); line.setAttribute("x2", x);
    dot.setAttribute("cx", x); dot.setAttribute("cy", y);
    const told = document.querySelector("[data-here-min]");
    if (told && told.textContent !== String(Math.round(minute))) told.textContent = String(Math.round(minute));
    const foot = Number(line.getAttribute("y2"));
    const degrees = document.querySelector("[data-here-c]");
    const drawn = Number(line.dataset.perDegree);
    if (degrees && drawn) degrees.textContent = String(Math.round((foot - y) / drawn));
  };

  // Sound: a browser allows it once the page, or the one before it here, was touched.
  let sound = null;
  const ask = document.querySelector("[data-sound]");
  const awake = async () => { try { return Boolean(await navigator.wakeLock.request("screen")); } catch { return false; } };
  if (ask && timers.length && window.AudioContext) {
    sound = new AudioContext();
    const says = ask.querySelector("[data-sound-says]");
    const ready = async () => {
      ask.querySelector("button").hidden = true;
      says.textContent = await awake()
        ? "This page rings, and keeps the screen on while it is in sight."
        : "This page rings while it is open and the screen is on.";
    };
    ask.hidden = false;
    if (sound.state === "running") ready();
    ask.querySelector("button").addEventListener("click", async () => { await sound.resume(); tone(0); ready(); });
  }
  const tone = (after) => {
    const one = sound.createOscillator();
    const loud = sound.createGain();
    one.frequency.value = 880;
    loud.gain.value = 0.2;
    one.connect(loud).connect(sound.destination);
    one.start(sound.currentTime + after);
    one.stop(sound.currentTime + after + 0.35);
  };
  const ring = () => {
    if (sound?.state === "running") for (let i = 0; i < 6; i += 1) tone(i * 0.7);
    if (navigator.userActivation?.hasBeenActive && navigator.vibrate) navigator.vibrate([300, 200, 300]);
  };
  if (timers.length || at) { show(); setInterval(show, 500); document.addEventListener("visibilitychange", show); }
}
