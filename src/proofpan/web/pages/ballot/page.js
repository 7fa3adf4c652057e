// A ballot on a phone: marks are written here first, sent until the kitchen has acknowledged them, and lost neither by a reload nor by the wifi.
const body = document.body, action = body.dataset.action, STORE = "ballot:" + action;
const codes = body.dataset.codes.trim().split(/\s+/).filter(Boolean), kept = new Set(body.dataset.kept.trim().split(/\s+/).filter(Boolean));
const $ = (id) => document.getElementById(id);
const read = () => { try { return JSON.parse(localStorage.getItem(STORE)) ?? {}; } catch { return {}; } };
const write = (state) => { try { localStorage.setItem(STORE, JSON.stringify(state)); } catch { /* a full store: sending still goes on */ } };
const random = () => Array.from(crypto.getRandomValues(new Uint8Array(12)), (b) => b.toString(16).padStart(2, "0")).join("");
const state = { queue: [], done: [], draft: {}, choice: null, ...read() };
state.queue = state.queue.filter((item) => item.what === "choice" || !kept.has(item.code));
let away = false, shut = false, until = 0;

const marked = () => new Set([...kept, ...state.done, ...state.queue.filter((i) => i.code).map((i) => i.code)]);
const next = () => codes.find((code) => !marked().has(code));
const show = (id) => { for (const part of ["taste", "rinse", "choose", "thanks"]) $(part).hidden = part !== id; };
const fields = () => [...document.querySelectorAll("#marks [data-line] input")];
const two = (n) => String(n).padStart(2, "0");
const stamp = () => { const d = new Date(); return `${d.getFullYear()}-${two(d.getMonth() + 1)}-${two(d.getDate())}T${two(d.getHours())}:${two(d.getMinutes())}`; };

function plate() {
  const code = next();
  if (!code) return end();
  show("taste");
  for (const part of [$("plate").firstElementChild, $("code")]) part.textContent = code;
  document.querySelector("#marks [name=code]").value = code;
  $("place").textContent = $("place").textContent.split(", ")[0] + ", plate " + (codes.indexOf(code) + 1);
  $("before").hidden = marked().size > 0;
  for (const box of document.querySelectorAll("#marks [data-line]")) box.clear();
  $("words").value = "";
  if (state.draft.code === code) {
    for (const [name, value] of Object.entries(state.draft.marks)) { const field = document.querySelector(`#marks [name="${name}"]`); if (field) field.value = value; }
    for (const box of document.querySelectorAll("#marks [data-line]")) box.restore();
  }
  $("go").setAttribute("form", "marks");
  look();
  scrollTo(0, 0);
}
function look() {
  if ($("taste").hidden) return;
  const left = fields().filter((f) => f.value === "").length, button = $("go");
  button.disabled = left > 0;
  button.classList.toggle("act", left === 0);
  button.textContent = "Done with " + $("code").textContent;
  $("foot-says").textContent = left === 0 ? "It can’t be changed afterwards" : left === 1 ? "One line still to mark" : left + " lines still to mark";
}
function where() {
  const here = state.queue.filter((i) => i.code).map((i) => i.code), box = $("kept-here");
  box.hidden = here.length === 0 && !(until && state.done.length);
  if (here.length) {
    $("kept-says").textContent = here.join(", ") + (here.length === 1 ? " is kept on this phone" : " are kept on this phone");
    $("kept-more").textContent = away ? "The kitchen’s wifi is away. Your answers go across by themselves when it is back and this page is open. You may lock the phone; nothing is lost." : "On the way to the kitchen.";
  } else if (state.done.length) {
    $("kept-says").textContent = state.done[state.done.length - 1] + " is with the kitchen";
    $("kept-more").textContent = "";
  }
}
function rinse() {
  const code = next();
  if (!code) return end();
  show("rinse");
  const button = $("go");
  button.removeAttribute("form");
  const tick = () => {
    const left = Math.ceil((until - Date.now()) / 1000);
    $("seconds").textContent = Math.max(0, left);
    button.textContent = "Go to plate " + code;
    button.disabled = left > 0;
    button.classList.toggle("act", left <= 0);
    $("foot-says").textContent = "You can’t go back";
    if (left > 0) setTimeout(tick, 250);
  };
  until = Date.now() + 1000 * Number(body.dataset.rinse);
  tick();
  where();
}
function end() {
  const button = $("go");
  until = 0;
  if (state.choice || body.dataset.state === "thanks") {
    show("thanks");
    $("thanks-more").textContent = state.queue.length ? "Keep this page open: some of it is still on this phone." : "Your marks are with the kitchen. Say nothing about the plates until everybody has finished.";
    button.hidden = true;
    $("foot-says").textContent = "";
  } else {
    show("choose");
    button.setAttribute("form", "choice");
    button.textContent = "That is the one";
    button.disabled = false;
    button.classList.add("act");
    $("foot-says").textContent = "";
  }
  where();
}

let sending = false;
async function send() {
  if (sending || !state.queue.length) return;
  sending = true;
  try {
    while (state.queue.length) {
      const item = state.queue[0];
      const stop = new AbortController(), timer = setTimeout(() => stop.abort(), 8000);
      const answer = await fetch(`${action}/${item.what}`, { method: "POST", headers: { "content-type": "application/json" }, body: JSON.stringify(item.body), signal: stop.signal });
      clearTimeout(timer);
      if (answer.status === 410) { shut = true; away = false; break; }
      if (answer.status >= 500 || answer.status === 404 || answer.status === 429) { away = true; break; }
      away = false;
      state.queue.shift();
      if (item.code) { state.done.push(item.code); kept.add(item.code); }
      write(state);
    }
  } catch { away = true; } finally { sending = false; where(); if (!$("thanks").hidden) end(); }
  if (shut) { $("kept-here").hidden = false; $("kept-says").textContent = "The tasting is closed"; $("kept-more").textContent = "What is still on this phone came too late to count. Tell the kitchen."; }
}
$("marks").addEventListener("input", () => {
  state.draft = { code: $("code").textContent, marks: Object.fromEntries(new FormData($("marks"))) };
  write(state);
  look();
});
$("marks").addEventListener("submit", (event) => {
  event.preventDefault();
  const code = $("code").textContent, given = Object.fromEntries(new FormData($("marks")));
  state.queue.push({ what: "marks", code, key: random(), body: { ...given, code, at: stamp() } });
  state.draft = {};
  write(state);
  rinse();
  send();
});
$("choice").addEventListener("submit", (event) => {
  event.preventDefault();
  const given = Object.fromEntries(new FormData($("choice")));
  state.choice = given;
  state.queue.push({ what: "choice", key: random(), body: given });
  write(state);
  end();
  send();
});
$("go").addEventListener("click", (event) => { if (!$("rinse").hidden) { event.preventDefault(); until = 0; where(); plate(); } });
async function here() {
  const code = next();
  try { await fetch(action + "/here", { method: "POST", headers: { "content-type": "application/json" }, body: JSON.stringify({ place: code ? codes.indexOf(code) + 1 : 0 }) }); } catch { /* the board then says when it last heard */ }
}
addEventListener("online", send);
addEventListener("pageshow", send);
setInterval(send, 3000);
setInterval(here, 10000);
here();
if (state.queue.length || state.done.length) send();
plate();
where();
