// Work that goes on: its words and its bar follow it, and Stop stops it. Without script the page loads itself again.
const EVERY = 400;
const wait = (ms) => new Promise((done) => setTimeout(done, ms));
export async function follow(box, ended) {
  const bar = box.querySelector("progress"), says = box.querySelector("[role=status]"), form = box.querySelector("form");
  let stopped = false;
  form?.addEventListener("submit", async (event) => {
    event.preventDefault();
    stopped = true;
    form.querySelector("button").disabled = true;
    says.textContent = "Stopping.";
    try { await fetch(form.getAttribute("action"), { method: "POST", body: new URLSearchParams(new FormData(form)), credentials: "same-origin" }); } catch { stopped = false; form.querySelector("button").disabled = false; }
  });
  while (box.isConnected) {
    let now;
    try {
      const answer = await fetch(box.dataset.work, { credentials: "same-origin" });
      if (answer.status === 404) now = { state: "gone", ended: true, says: "That work isn’t there any more: start it again." };
      else if (answer.ok) now = await answer.json();
    } catch { says.textContent = "The kitchen’s computer can’t be reached. The work goes on there."; }
    if (now && box.isConnected) {
      if (!stopped || now.ended) says.textContent = now.says;
      if (now.all) { bar.max = now.all; bar.value = now.done; }
      if (now.ended) {
        bar.hidden = true;
        if (form) form.hidden = true;
        ended(now);
        return;
      }
    }
    await wait(EVERY);
  }
}
for (const box of document.querySelectorAll("main > [data-work]")) follow(box, (now) => { if (now.state === "done") location.assign(now.then); else location.reload(); });
