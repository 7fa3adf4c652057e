// The line at now moves with this device's clock; where it leaves the picture, it stays at the edge.
const picture = document.querySelector("svg[data-first]"), LEFT = 130, WIDE = Number(picture?.dataset.wide);
const line = picture?.querySelector("[data-now]");
if (line) {
  // where the lanes are wider than the screen they open at now, a little of what was before it in sight
  const frame = picture.closest("figure"), far = frame.scrollWidth - frame.clientWidth;
  if (far > 0) frame.scrollLeft = Math.min(far, Math.max(0, (Number(line.querySelector("line").getAttribute("x1")) / WIDE) * frame.scrollWidth - frame.clientWidth / 2));
  const first = new Date(picture.dataset.first), span = Number(picture.dataset.span);
  const stroke = line.querySelector("line"), flag = line.querySelector("rect"), words = line.querySelector("text");
  setInterval(() => {
    const now = new Date(), minutes = (now - first) / 60000;
    if (minutes < 0 || minutes > span) return;
    const at = LEFT + (minutes / span) * (WIDE - LEFT), left = Math.min(Math.max(at - 48, LEFT), WIDE - 96);
    stroke.setAttribute("x1", at); stroke.setAttribute("x2", at);
    flag.setAttribute("x", left); words.setAttribute("x", left + 48);
    words.textContent = "now " + now.getHours() + ":" + String(now.getMinutes()).padStart(2, "0");
  }, 20000);
}
