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
if (clock) {
  const shown = clock.querySelector(".left");
  const tick = () => {
    const at = /^(\d{1,2}):(\d{2})$/.exec(start.value);
    shown.hidden = !at || Boolean(out.value);
    if (shown.hidden) return;
    const then = new Date(); then.setHours(Number(at[1]), Number(at[2]), 0, 0);
    const seconds = Math.max(0, (Date.now() - then) / 1000);
    shown.textContent = Math.floor(seconds / 60) + ":" + two(Math.floor(seconds % 60));
  };
  tick();
  setInterval(tick, 1000);
}
