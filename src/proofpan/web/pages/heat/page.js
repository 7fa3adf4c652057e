// Sliders and choices fetch the answer again from the kitchen's own server, and put it in place; without script the button does.
const form = document.querySelector("[data-heat]");
let waiting = 0, asked = 0, asking = new AbortController();
const again = async () => {
  asking.abort();
  asking = new AbortController();
  const mine = ++asked, address = form.action + "?" + new URLSearchParams(new FormData(form));
  const got = await fetch(address, { signal: asking.signal }).catch(() => null);
  if (!got || mine !== asked) return;
  const page = new DOMParser().parseFromString(await got.text(), "text/html");
  document.querySelector("#answer").replaceWith(page.querySelector("#answer"));
  const wrong = document.querySelector("#wrong");
  if (wrong && got.ok) wrong.remove();
  history.replaceState(null, "", address);
};
form.addEventListener("input", (event) => {
  const output = event.target.type === "range" && event.target.parentElement.querySelector("output");
  if (output) output.value = event.target.value;
  clearTimeout(waiting);
  waiting = setTimeout(again, 200);
});
