// Lines to mark by touch or arrow keys, in place of the number fields that stand without script.
function draw(box) {
  const input = box.querySelector("input"), label = box.querySelector("label");
  const low = Number(box.dataset.low), high = Number(box.dataset.high);
  const line = document.createElement("div"), mark = document.createElement("i");
  label.id = input.id + "-asks";
  line.className = "ln";
  for (const [name, value] of Object.entries({ role: "slider", tabindex: "0", "aria-labelledby": label.id, "aria-describedby": input.id + "-ends", "aria-valuemin": low, "aria-valuemax": high, "aria-valuenow": (low + high) / 2, "aria-valuetext": "not answered yet" })) line.setAttribute(name, value);
  label.removeAttribute("for");
  input.type = "hidden";
  input.required = false;
  input.after(line);
  box.classList.add("lined");
  const put = (value) => {
    const kept = Math.round(Math.min(high, Math.max(low, value)) * 100 / (high - low) * 2) / 2 / 100 * (high - low);
    input.value = String(Math.round(kept * 100) / 100);
    mark.style.left = 100 * (input.value - low) / (high - low) + "%";
    line.append(mark);
    line.setAttribute("aria-valuenow", input.value);
    line.setAttribute("aria-valuetext", "marked");
    input.dispatchEvent(new Event("input", { bubbles: true }));
  };
  const at = (event) => { const r = line.getBoundingClientRect(); put(low + (high - low) * (event.clientX - r.left) / r.width); };
  line.addEventListener("pointerdown", (event) => { line.setPointerCapture(event.pointerId); at(event); });
  line.addEventListener("pointermove", (event) => { if (line.hasPointerCapture(event.pointerId)) at(event); });
  line.addEventListener("keydown", (event) => {
    const by = { ArrowLeft: -1, ArrowDown: -1, ArrowRight: 1, ArrowUp: 1, PageDown: -10, PageUp: 10 }[event.key];
    if (by === undefined && event.key !== "Home" && event.key !== "End") return;
    event.preventDefault();
    const now = input.value === "" ? (low + high) / 2 : Number(input.value);
    put(event.key === "Home" ? low : event.key === "End" ? high : input.value === "" ? now : now + by * (high - low) / 50);
  });
  box.clear = () => { input.value = ""; mark.remove(); line.setAttribute("aria-valuetext", "not answered yet"); line.setAttribute("aria-valuenow", (low + high) / 2); };
  box.restore = () => { if (input.value !== "") put(Number(input.value)); };
  box.restore();
}
function count(button) {
  const form = button.form, says = button.dataset.says = button.textContent;
  const look = () => {
    const left = [...form.querySelectorAll("[data-line] input")].filter((i) => i.value === "").length;
    button.disabled = left > 0;
    button.textContent = left ? (left === 1 ? "One line still to mark" : left + " lines still to mark") : says;
    button.classList.toggle("act", left === 0);
  };
  form.addEventListener("input", look);
  look();
}
function dress() {
  for (const box of document.querySelectorAll("[data-line]:not(.lined)")) draw(box);
  for (const button of document.querySelectorAll("[data-left=lines]:not([data-says])")) count(button);
}
dress();
document.addEventListener("replaced", dress);
