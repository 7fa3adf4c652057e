// How far a long task has come, by this device's clock; where that is far from the kitchen's, what the kitchen said stays.
const words = (m) => (m < 60 ? `${m} min` : m < 4320 ? (m % 60 ? `${Math.floor(m / 60)} h ${m % 60} min` : `${m / 60} h`) : `${Math.floor(m / 1440)} days ${Math.floor((m % 1440) / 60)} h`);
function far() {
  for (const bar of document.querySelectorAll("progress[data-since]")) {
    const since = new Date(bar.dataset.since), said = Number(bar.dataset.gone), read = Number(bar.dataset.read ??= Date.now());
    if (Math.abs(Math.round((read - since) / 60000) - said) > 5) continue;
    const gone = Math.max(said, Math.floor((Date.now() - since) / 60000)), over = gone - bar.max;
    bar.value = Math.min(bar.max, gone);
    bar.nextElementSibling.textContent = over > 0 ? `${words(gone)}, ${words(over)} over` : `${words(gone)} of ${words(bar.max)}`;
  }
  for (const line of document.querySelectorAll("[data-told]")) { // the kitchen's clock, as much later as this page has stood open
    const [h, m] = line.dataset.told.split(":").map(Number), at = h * 60 + m + Math.floor((Date.now() - Number(line.dataset.read ??= Date.now())) / 60000);
    line.textContent = `${Math.floor(at / 60) % 24}:${String(at % 60).padStart(2, "0")}`;
  }
}
far();
setInterval(far, 20000);

// A phone that slept, or lay beside another that was pressed, looks again; what is typed and a camera that is open stay as they are.
const LEFT_MS = 60000;
let left = 0;
document.addEventListener("visibilitychange", async () => {
  if (document.hidden) { left = Date.now(); return; }
  far();
  if (!left || Date.now() - left < LEFT_MS) return;
  if (document.querySelector(".turns")) { location.reload(); return; }
  const part = document.querySelector(".ontime");
  if (!part) return;
  try {
    const answer = await fetch(location.href, { credentials: "same-origin" });
    const fresh = answer.ok && new DOMParser().parseFromString(await answer.text(), "text/html").querySelector(".ontime");
    if (fresh) { part.replaceWith(fresh); far(); }
  } catch { /* the kitchen's computer is away: what stands says when it was told */ }
});
