// A tap on a photograph writes its place, in hundredths from the left and the top, into the chosen field.
for (const figure of document.querySelectorAll("[data-taps], [data-marks]")) {
  const form = figure.closest("form"), image = figure.querySelector("img"), choose = form.querySelector("[data-for]");
  figure.hidden = choose.hidden = false;
  image.addEventListener("click", (event) => {
    const box = image.getBoundingClientRect();
    const share = (at, start, size) => Math.min(100, Math.max(0, (100 * (at - start)) / size)).toFixed(1);
    const place = share(event.clientX, box.left, box.width) + "," + share(event.clientY, box.top, box.height);
    const field = form.elements[form.elements.into.value];
    field.value = (field.value + " " + place).trim();
    field.dispatchEvent(new Event("input", { bubbles: true }));
  });
}
