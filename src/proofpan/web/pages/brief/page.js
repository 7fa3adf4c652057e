// The plan and its cost change as one types; its dry run is played behind it, in place of the one for what stood before.
import { follow } from "/static/js/work.js";
const plan = document.getElementById("plan"), forms = () => document.querySelectorAll("form[data-plans]");
const root = plan.dataset.plan, since = document.querySelector("[name=base]").value;
const LOOK = 250, PLAY = 900;
let turn = 0, looks = 0, plays = 0, going = "";
function typed(more = {}) {
  const out = new URLSearchParams({ since });
  for (const form of forms()) for (const [n, v] of new FormData(form)) if (n !== "csrf" && n !== "once" && n !== "base" && typeof v === "string") out.append(n, v);
  for (const [n, v] of Object.entries(more)) out.append(n, v);
  return out;
}
async function put(answer, mine) {
  if (!answer.ok || mine !== turn) return;
  const text = await answer.text();
  if (mine !== turn) return;
  plan.innerHTML = text;
  document.getElementById("short").textContent = plan.querySelector("[data-short]").textContent;
  look();
}
async function figures() {
  const mine = ++turn;
  try { await put(await fetch(root + "?" + typed(), { credentials: "same-origin" }), mine); } catch { /* what stands is what is kept */ }
}
async function play(more = {}) {
  const mine = ++turn, csrf = document.querySelector("[name=csrf]").value;
  const body = typed({ ...more, part: "1", csrf, ...(going ? { instead: going } : {}) });
  going = "";
  try { await put(await fetch(root.replace(/plan$/, "dry-run"), { method: "POST", body, credentials: "same-origin" }), mine); } catch { /* as above */ }
}
function look() {
  const box = plan.querySelector("[data-work]"), ask = plan.querySelector("form[data-play]");
  if (box) going = box.dataset.work.split("/").at(-2);
  if (box) follow(box, () => { going = ""; figures(); });
  ask?.addEventListener("submit", (event) => { event.preventDefault(); play(ask.elements.kitchens ? { kitchens: ask.elements.kitchens.value } : {}); });
  clearTimeout(plays);
  if (ask?.dataset.byItself !== undefined) plays = setTimeout(play, PLAY);
}
document.addEventListener("input", (event) => {
  if (!event.target.closest("form[data-plans]")) return;
  clearTimeout(looks); clearTimeout(plays);
  looks = setTimeout(figures, LOOK);
});
// with trays there is an oven: the field for how many says so
document.addEventListener("input", ({ target }) => {
  const ovens = document.getElementById("ovens");
  if (["trays", "places"].includes(target.id) && Number(target.value) > 0 && !ovens.value) ovens.value = "1";
});
look();
document.addEventListener("kept", figures);

// a line of the recipe marked as varying fills the form of a new thing that varies
function marks() {
  for (const button of document.querySelectorAll("[data-vary], [data-also]")) button.hidden = false;
}
document.addEventListener("click", (event) => {
  const said = event.target.closest("[data-vary]")?.dataset;
  if (!said) return;
  const box = document.getElementById("vary"), fields = box.querySelector("form").elements;
  box.open = true;
  fields.factor.value = said.factor;
  fields.plain.value = said.plain;
  fields.changed.value = said.changed;
  fields.verb.value = said.verb;
  fields.target.value = said.target;
  fields.namedItem("name").scrollIntoView({ block: "center" });
  fields.namedItem("name").focus();
});
// an option that stands gets one edit more: the form for it opens with its name
document.addEventListener("click", (event) => {
  const also = event.target.closest("[data-also]");
  if (!also) return;
  const box = also.closest(".factor").querySelector("details"), fields = box.querySelector("form").elements;
  box.open = true;
  fields.namedItem("name").value = also.dataset.also;
  if (fields.verb.value === "name only") fields.verb.value = "swap";
  fields.verb.scrollIntoView({ block: "center" });
  fields.verb.focus();
});
document.addEventListener("kept", marks);
marks();
