// How far a long task has come, by this device's clock; where that is far from the kitchen's, what the kitchen said stays.
const words = (m) => (m < 60 ? `${m} min` : m < 4320 ? (m % 60 ? `${Math.floor(m / 60)} h ${m % 60} min` : `${m / 60} h`) : `${Math.floor(m / 1440)} days ${Math.floor((m % 1440) / 60)} h`);
for (const bar of document.querySelectorAll("progress[data-since]")) {
  const since = new Date(bar.dataset.since), said = bar.value, opened = Date.now();
  const apart = Math.round((opened - since) / 60000) - said;
  if (Math.abs(apart) > 5 && said < bar.max) continue;
  setInterval(() => {
    const gone = Math.min(bar.max, Math.max(said, Math.floor((Date.now() - since) / 60000)));
    bar.value = gone;
    bar.nextElementSibling.textContent = `${words(gone)} of ${words(bar.max)}`;
  }, 20000);
}
