// A changed form keeps itself: numbers, choices and sliders a moment after the last change, words when they are left.
// What can't be kept is said by the form; what another device changed meanwhile waits for a decision.
const WAIT = 900, AGAIN = 4000;
const timers = new Map();
let line = Promise.resolve();
const saves = (field) => field.closest?.("form[data-autosave]") ?? null;
const words = (field) => field.matches("textarea, input:not([type]), input[type=text]") && !["numeric", "decimal"].includes(field.inputMode);
function soon(form, wait) {
  clearTimeout(timers.get(form));
  timers.set(form, setTimeout(() => { timers.delete(form); line = line.then(() => keep(form)); }, wait));
}
function say(form, text) {
  let p = form.querySelector(":scope > .err");
  if (!text) { p?.remove(); return; }
  if (!p) { p = document.createElement("p"); p.className = "err"; p.setAttribute("role", "alert"); form.prepend(p); }
  p.textContent = text;
}
async function keep(form) {
  if (!form.isConnected || form.dataset.autosave === "held" || !form.checkValidity()) return;
  if ([...form.querySelectorAll("input[type=range]")].some((r) => Number(r.value) === 0)) return; // 0 leaves it out: that is pressed
  const apart = new Set([...form.querySelectorAll("[data-pressed]")].map((f) => f.name));
  const body = new URLSearchParams([...new FormData(form)].filter(([n, v]) => typeof v === "string" && !apart.has(n)));
  if (form.dataset.made) body.append("goes_on", form.dataset.made); // a run of changes is undone at once
  const upon = Number(body.get("base"));
  try {
    const answer = await fetch(form.getAttribute("action"), { method: "POST", body, credentials: "same-origin" });
    const page = new DOMParser().parseFromString(await answer.text(), "text/html");
    if (answer.ok) {
      say(form, "");
      stand(page);
      const now = page.querySelector("[name=base]")?.value;
      if (Number(now) > upon) form.dataset.made = now;
      form.dispatchEvent(new Event("kept", { bubbles: true }));
      return;
    }
    say(form, (page.getElementById("wrong") ?? page.querySelector("h1"))?.textContent ?? "This wasn’t kept.");
    if (answer.status === 409) { form.dataset.autosave = "held"; base(page); }
  } catch {
    const kept = document.getElementById("kept");
    if (kept) kept.textContent = "On this device: the kitchen’s computer is away.";
    soon(form, AGAIN);
  }
}
const base = (page) => {
  const now = page.querySelector("[name=base]")?.value;
  if (now) for (const field of document.querySelectorAll("[name=base]")) field.value = now;
};
// the page's other parts follow what was kept; where one is typing, nothing moves
function stand(page) {
  for (const part of ["h1", "nav.steps", "nav.stepline", ".top .study"]) {
    const now = page.querySelector(part);
    if (now) document.querySelector(part)?.replaceWith(now);
  }
  document.querySelector("main > .said")?.remove();
  const edge = document.querySelector("footer.edge"), kept = page.querySelector("footer.edge");
  if (edge.contains(document.activeElement)) edge.querySelector("#kept").textContent = kept.querySelector("#kept").textContent;
  else edge.replaceWith(kept);
  for (const now of page.querySelectorAll("[data-part]")) {
    const here = document.querySelector(`[data-part="${now.dataset.part}"]`);
    const at = document.activeElement, inside = here?.contains(at);
    if (!here || inside && (at.tagName !== "INPUT" || at.value !== at.defaultValue)) continue;
    const chosen = here.value, typed = new Map([...here.querySelectorAll("input")].map((i) => [i.name, i.value]));
    here.innerHTML = now.innerHTML;
    if (chosen) here.value = chosen;
    for (const field of here.querySelectorAll("input")) if (typed.get(field.name)) field.value = typed.get(field.name);
    if (inside) (here.querySelector(`[name="${CSS.escape(at.name)}"]`) ?? here.querySelector("input"))?.focus();
  }
  document.title = page.title;
  base(page);
}
document.addEventListener("input", ({ target }) => {
  const form = saves(target);
  if (form && (target === form || !words(target) && target.dataset.pressed === undefined)) soon(form, WAIT);
});
document.addEventListener("change", ({ target }) => {
  const form = saves(target);
  if (form && words(target) && target.dataset.pressed === undefined) soon(form, 50);
});
document.addEventListener("submit", ({ target }) => clearTimeout(timers.get(target)));
for (const form of document.querySelectorAll("form[data-autosave][data-restored]")) soon(form, WAIT); // typed before a reload
for (const range of document.querySelectorAll("input[type=range][data-shows]")) {
  const shows = range.parentElement.querySelector("output");
  const look = () => {
    const value = Math.round(range.value * 100) / 100;
    shows.textContent = `${value} ${range.dataset.shows}`;
    range.setAttribute("aria-valuetext", value ? shows.textContent : "0: left out");
  };
  range.addEventListener("input", look);
  look();
}
