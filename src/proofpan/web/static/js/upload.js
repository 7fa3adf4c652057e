// Files go across with a bar and a way to stop; without script the form posts as it is.
const mb = (bytes) => (bytes / 1e6).toFixed(1);
for (const form of document.querySelectorAll("form[data-upload]")) {
  const inputs = [...form.querySelectorAll("input[type=file]")], chosen = form.querySelector("[data-chosen]");
  const most = Number(form.dataset.most), largest = Number(form.dataset.largest), all = Number(form.dataset.all);
  const wrong = () => {
    const list = inputs.flatMap((i) => [...i.files]), total = list.reduce((sum, f) => sum + f.size, 0);
    if (list.length > most) return `${list.length} files at once are many: at most ${most}, all of one trial.`;
    const big = list.find((f) => f.size > largest);
    if (big) return `${big.name} has ${mb(big.size)} MB: at most ${mb(largest)}.`;
    return total > all ? `Together they have ${mb(total)} MB: at most ${mb(all)} at once.` : "";
  };
  for (const files of inputs) files.addEventListener("change", () => {
    const list = inputs.flatMap((i) => [...i.files]);
    for (const each of inputs) each.setCustomValidity(each === files ? wrong() : "");
    if (chosen) chosen.textContent = wrong() || list.map((f) => `${f.name}, ${mb(f.size)} MB`).join("; ");
  });
  form.addEventListener("submit", (event) => {
    if (!inputs.some((i) => i.files.length) || event.defaultPrevented) return;
    event.preventDefault();
    const bar = form.querySelector("[data-progress]"), meter = bar.querySelector("progress"), says = bar.querySelector("[role=status]");
    const stop = bar.querySelector("button"), send = form.querySelector("button:not([type=button])"), request = new XMLHttpRequest();
    const done = (words) => { says.textContent = words; meter.hidden = stop.hidden = true; send.disabled = false; };
    bar.hidden = meter.hidden = stop.hidden = false;
    send.disabled = true;
    meter.removeAttribute("value");
    says.textContent = "Going across.";
    request.upload.addEventListener("progress", (e) => {
      if (!e.lengthComputable) return;
      meter.max = e.total;
      meter.value = e.loaded;
      says.textContent = e.loaded < e.total ? `${mb(e.loaded)} of ${mb(e.total)} MB.` : "All across. Measuring.";
      if (e.loaded >= e.total) meter.removeAttribute("value");
    });
    request.addEventListener("load", () => {
      if (request.status === 200) { location.assign(request.responseURL.split("#")[0]); return; }
      const page = new DOMParser().parseFromString(request.responseText, "text/html");
      const main = page.querySelector("main");
      if (!main) { done(request.responseText.slice(0, 200)); return; }
      // what was chosen stays chosen: only the sentence is taken over
      const words = (page.getElementById("wrong") ?? page.querySelector("h1"))?.textContent ?? "It wasn’t kept.";
      done(words);
      bar.classList.add("refused");
    });
    request.addEventListener("error", () => done("The kitchen’s computer can’t be reached: nothing was kept. Try again when it is back."));
    request.addEventListener("abort", () => done("Stopped. Nothing was kept."));
    stop.onclick = () => request.abort();
    bar.classList.remove("refused");
    request.open("POST", form.getAttribute("action"));
    request.send(new FormData(form));
  });
}
