// What must be alive in a page: a picked colour put into its field, a plan's progress, the clocks beside the pot.
// Every page works without this file; nothing here decides anything.

for (const picker of document.querySelectorAll("input[type=color][data-fills]")) {
  const field = document.getElementById(picker.dataset.fills);
  picker.addEventListener("input", () => { field.value = picker.value; });
  field.addEventListener("input", () => {
    if (/^#[0-9a-f]{6}$/i.test(field.value.trim())) picker.value = field.value.trim().toLowerCase();
  });
}

// What was typed survives a reload and the back button until it is sent.
const kept = (field) => `typed:${location.pathname}:${field.form.getAttribute("action")}:${field.name}`;
for (const field of document.querySelectorAll("form[method=post] input:not([type=hidden]):not([type=color]), form[method=post] select, form[method=post] textarea")) {
  if (document.getElementById("trouble")) break;
  const was = sessionStorage.getItem(kept(field));
  if (was !== null && was !== field.value) {
    field.value = was;
    field.closest("details")?.setAttribute("open", "");
  }
  field.addEventListener("input", () => sessionStorage.setItem(kept(field), field.value));
  field.form.addEventListener("submit", () => sessionStorage.removeItem(kept(field)));
}

document.getElementById("trouble")?.focus();

const busy = document.querySelector("[data-progress]");
if (busy) {
  const bar = busy.querySelector("progress");
  const doing = busy.querySelector("[data-doing]");
  const look = async () => {
    try {
      const answer = await fetch(busy.dataset.progress);
      const at = await answer.json();
      if (!at.busy) { location.reload(); return; }
      bar.max = Math.max(1, at.of);
      bar.value = at.done;
      if (at.doing) doing.textContent = at.doing;
    } catch {
      doing.textContent = "the workroom does not answer; is it still open?";
    }
    setTimeout(look, 400);
  };
  setTimeout(look, 300);
}

// A list that others change: load the page again when it is no longer what stands here.
const watched = document.querySelector("[data-watch]");
if (watched) {
  setInterval(async () => {
    try {
      const answer = await fetch(watched.dataset.watch);
      if ((await answer.json()).now !== watched.dataset.nowAsking) location.reload();
    } catch { /* The workroom is shut: there is nothing to watch. */ }
  }, 1500);
}

// Instants come from the workroom; the page only shows how far off they are, by the workroom's own clock.
const clock = document.querySelector("[data-now]");
if (clock) {
  const ahead = Number(clock.dataset.now) - Date.now();
  const timers = [...clock.querySelectorAll("[data-ends]")];
  let ringing = false;
  const two = (n) => String(n).padStart(2, "0");
  const show = () => {
    const now = Date.now() + ahead;
    let rings = false;
    for (const timer of timers) {
      const left = Math.round((Number(timer.dataset.ends) - now) / 1000);
      const far = Math.abs(left);
      const words = `${Math.floor(far / 3600) ? `${Math.floor(far / 3600)}:` : ""}${two(Math.floor(far / 60) % 60)}:${two(far % 60)}`;
      const said = left > 0 ? `${words} left` : `Time: step ${timer.dataset.step}, ${words} over`;
      if (timer.textContent !== said) timer.textContent = said;
      timer.classList.toggle("over", left <= 0);
      rings ||= left <= 0 && left > -600;
    }
    document.title = rings ? document.title.replace(/^(⏰ )?/, "⏰ ") : document.title.replace(/^⏰ /, "");
    if (rings && !ringing) ring();
    ringing = rings;
  };
  const ring = () => {
    try {
      const sound = new AudioContext();
      for (let i = 0; i < 6; i += 1) {
        const tone = sound.createOscillator();
        const loud = sound.createGain();
        tone.frequency.value = 880;
        loud.gain.value = 0.2;
        tone.connect(loud).connect(sound.destination);
        tone.start(sound.currentTime + i * 0.7);
        tone.stop(sound.currentTime + i * 0.7 + 0.35);
      }
    } catch { /* Some browsers make no sound before the page was touched: the words and the title tell. */ }
    if (navigator.vibrate) navigator.vibrate([300, 200, 300]);
  };
  if (timers.length) { show(); setInterval(show, 500); document.addEventListener("visibilitychange", show); }
}
