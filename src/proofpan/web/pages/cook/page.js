// The clock counts from "in" by this device's time, and "now" fills a time in; − and + begin at what was planned.
const two = (n) => String(n).padStart(2, "0");
for (const button of document.querySelectorAll("[data-now]")) {
  button.hidden = false;
  button.addEventListener("click", () => {
    const d = new Date(), field = document.getElementById(button.dataset.now);
    field.value = two(d.getHours()) + ":" + two(d.getMinutes());
    field.dispatchEvent(new Event("input", { bubbles: true }));
  });
}
document.addEventListener("click", (event) => {
  const by = event.target.closest("[data-by]"), field = by?.parentElement.querySelector("[data-from]");
  if (field && field.value === "" && Number(field.dataset.from)) field.value = field.dataset.from;
}, true);
const clock = document.querySelector("[data-clock]"), start = document.getElementById("start"), out = document.getElementById("out");
const HALF_DAY = 43200, minutes_of = (s) => Math.floor(s / 60) + ":" + two(Math.floor(s % 60));
// seconds since a time of day: what is in before midnight counts on after it; null for what is still to come
function since(text) {
  const at = /^(\d{1,2}):(\d{2})$/.exec(text);
  if (!at) return null;
  const then = new Date(); then.setHours(Number(at[1]), Number(at[2]), 0, 0);
  const seconds = (Date.now() - then) / 1000;
  return seconds < -HALF_DAY ? seconds + 2 * HALF_DAY : seconds < 0 ? null : seconds;
}
function tick() {
  if (clock) {
    const shown = clock.querySelector(".left"), look = clock.querySelector("[data-look]"), seconds = out.value ? null : since(start.value);
    const low = Number(clock.dataset.low), high = Number(clock.dataset.high), minutes = (seconds ?? 0) / 60;
    shown.hidden = seconds === null;
    shown.textContent = minutes_of(seconds ?? 0);
    const says = seconds === null || !high || minutes < low ? "" : minutes < high + 1 ? "Look at it now." : `${Math.floor(minutes - high)} min longer than expected.`;
    if (look.textContent !== says) look.textContent = says;
  }
  for (const tray of document.querySelectorAll("[data-in]")) {
    const seconds = since(tray.dataset.in);
    if (seconds !== null) tray.textContent = ` ${Math.floor(seconds / 60)} min.`;
  }
}
tick();
setInterval(tick, 1000);
