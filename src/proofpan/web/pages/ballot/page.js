// A ballot on a phone: marks are written here first, sent until the kitchen has acknowledged them, and lost neither by a reload nor by the wifi.
const body = document.body, action = body.dataset.action, STORE = "ballot:" + action;
const codes = body.dataset.codes.trim().split(/\s+/).filter(Boolean), kept = new Set(body.dataset.kept.trim().split(/\s+/).filter(Boolean));
const $ = (id) => document.getElementById(id);
const read = () => { try { return JSON.parse(localStorage.getItem(STORE)) ?? {}; } catch { return {}; } };
const write = (state) => { try { localStorage.setItem(STORE, JSON.stringify(state)); } catch { /* a full store: sending still goes on */ } };
// new words for the same taster and the same plates: what still waits under the old ones goes across under these
function adopt() {
  const here = { who: body.dataset.who, codes: codes.join(" ") };
  for (const name of Object.keys(localStorage).filter((n) => n.startsWith("ballot:") && n !== STORE)) {
    let old;
    try { old = JSON.parse(localStorage.getItem(name)); } catch { continue; }
    const there = old?.codes?.split(" ") ?? [];  // a plate taken back since is no longer among those of this page
    if (!codes.length || old?.who !== here.who || !codes.every((code) => there.includes(code))) continue;
    const mine = read();
    const queue = [...(old.queue ?? []), ...(mine.queue ?? [])], seen = new Set();
    write({
      ...old, ...mine, ...here,
      queue: queue.filter((i) => { const it = i.what + (i.code ?? ""); return !seen.has(it) && seen.add(it); }),
      done: [...new Set([...(old.done ?? []), ...(mine.done ?? [])])],
      draft: mine.draft?.code ? mine.draft : old.draft ?? {}, choice: mine.choice ?? old.choice ?? null,
    });
    localStorage.removeItem(name);
  }
  return here;
}
const random = () => Array.from(crypto.getRandomValues(new Uint8Array(12)), (b) => b.toString(16).padStart(2, "0")).join("");
let owner;
try { owner = adopt(); } catch { owner = {}; /* no store on this phone: nothing waits there */ }
const state = { queue: [], done: [], draft: {}, choice: null, gone: [], known: [], ...read(), ...owner };
state.known = [...new Set([...state.known, ...codes])];
state.queue = state.queue.filter((item) => item.what === "choice" || !kept.has(item.code));
const AWAY = {
  wifi: "The kitchen’s wifi is away. Your answers go across by themselves when it is back and this page is open. You may lock the phone; nothing is lost.",
  full: "The kitchen’s computer has no room left on its disk: tell the kitchen. Your answers stay on this phone and go across by themselves once there is room.",
  busy: "The kitchen’s computer is busy. Your answers stay on this phone and go across by themselves in a moment.",
  trouble: "Something is wrong at the kitchen’s computer: tell the kitchen. Your answers stay on this phone and are sent again by themselves.",
  unknown: "The kitchen doesn’t know this page’s words any more: ask for new ones. Your answers stay on this phone.",
};
const ASK = "Ask the kitchen before you taste the next plate: if one was taken back meanwhile, this page can’t know.";
let away = "", shut = false, until = 0, refused = "", unheard = false;

const marked = () => new Set([...kept, ...state.done, ...state.queue.filter((i) => i.code).map((i) => i.code)]);
const next = () => codes.find((code) => !marked().has(code) && !state.gone.includes(code));
const show = (id) => { for (const part of ["taste", "rinse", "choose", "thanks"]) $(part).hidden = part !== id; };
const form = $("marks"), pick = form.dataset.pick, now = () => form.elements.code.value, plain = (code) => code.split("+").join(", ");
// several fields of one name (two plates chosen, a ranking) go across as one text
function given(from) {
  const out = {};
  for (const [name, value] of new FormData(from)) out[name] = name in out ? out[name] + " " + value : value;
  return out;
}
function left() {
  if (pick === "order") return [...form.querySelectorAll("select")].filter((s) => s.value === "").length;
  if (pick) return Math.abs((pick === "two" ? 2 : 1) - form.querySelectorAll("[name=pick]:checked").length);
  const lines = [...form.querySelectorAll("[data-line] input")].filter((f) => f.value === "").length;
  return lines + [...form.querySelectorAll("[data-steps]")].filter((f) => !f.querySelector(":checked")).length;
}
const two = (n) => String(n).padStart(2, "0");
const stamp = () => { const d = new Date(); return `${d.getFullYear()}-${two(d.getMonth() + 1)}-${two(d.getDate())}T${two(d.getHours())}:${two(d.getMinutes())}`; };

function lay(code) {
  form.elements.code.value = code;
  for (const part of document.querySelectorAll("[data-code]")) part.textContent = code;
  code.split("+").forEach((one, n) => {
    const part = form.querySelectorAll("[data-slot]")[n];
    if (part) part.textContent = one;
    const input = part?.closest("label")?.querySelector("input");
    if (input) input.value = one;
    for (const option of form.querySelectorAll(`[data-slot${n}]`)) { option.value = one; option.textContent = one; }
  });
}
function fill(marks) {
  for (const field of form.elements) {
    const value = marks[field.name];
    if (value === undefined || field.name === "code") continue;
    if (field.type === "radio" || field.type === "checkbox") field.checked = value.split(" ").includes(field.value);
    else if (field.tagName === "SELECT") field.value = value.split(" ")[[...form.querySelectorAll("select")].indexOf(field)] ?? "";
    else field.value = value;
  }
  for (const box of form.querySelectorAll("[data-line]")) box.restore();
}
function plate() {
  const code = next();
  if (!code) return end();
  show("taste");
  form.reset();
  lay(code);
  $("place").textContent = $("place").textContent.split(", ")[0] + (pick ? ", set " : ", plate ") + (codes.indexOf(code) + 1);
  $("before").hidden = marked().size > 0;
  for (const box of form.querySelectorAll("[data-line]")) box.clear();
  $("words").value = "";
  if (state.draft.code === code) fill(state.draft.marks);
  $("go").setAttribute("form", "marks");
  places();
  look();
  scrollTo(0, 0);
}
// a ranking by taps: the first tapped is the best; the lists that stand without script follow
function places() {
  if (pick !== "order") return;
  const chosen = [...form.querySelectorAll("select")].map((s) => s.value);
  for (const button of form.querySelectorAll("[data-tap]")) {
    const place = chosen.indexOf(button.querySelector("[data-slot]").textContent) + 1;
    button.classList.toggle("on", place > 0);
    button.querySelector("[data-place]").textContent = place === 1 ? "1, the best" : place ? String(place) : "not yet";
  }
}
if (pick === "order") {
  form.querySelector(".tap").hidden = $("again").hidden = false;
  form.querySelector(".typed").hidden = true;
  form.addEventListener("click", (event) => {
    const button = event.target.closest("[data-tap]"), selects = [...form.querySelectorAll("select")];
    if (button) {
      const code = button.querySelector("[data-slot]").textContent, free = selects.find((s) => s.value === "");
      if (free && !selects.some((s) => s.value === code)) free.value = code;
    } else if (event.target.closest("#again")) for (const s of selects) s.value = "";
    else return;
    places();
    form.dispatchEvent(new Event("input", { bubbles: true }));
  });
}
function look() {
  if ($("taste").hidden) return;
  const still = left(), button = $("go");
  button.disabled = still > 0;
  button.classList.toggle("act", still === 0);
  button.textContent = pick ? "Done with these" : "Done with " + now();
  $("foot-says").textContent = still === 0 ? "It can’t be changed afterwards" : pick === "two" ? "Choose two plates" : pick && pick !== "order" ? "Choose one plate" : still === 1 ? "One still to mark" : still + " still to mark";
}
function where() {
  const here = state.queue.filter((i) => i.code).map((i) => plain(i.code)), box = $("kept-here");
  box.hidden = here.length === 0 && !(until && state.done.length);
  if (here.length) {
    $("kept-says").textContent = here.join("; ") + (here.length === 1 && !pick ? " is kept on this phone" : " are kept on this phone");
    $("kept-more").textContent = away ? AWAY[away] : "On the way to the kitchen.";
  } else if (state.done.length) {
    $("kept-says").textContent = plain(state.done[state.done.length - 1]) + (pick ? " are with the kitchen" : " is with the kitchen");
    $("kept-more").textContent = "";
  }
}
function rinse() {
  if (!next()) return end();
  show("rinse");
  const button = $("go");
  button.removeAttribute("form");
  const tick = () => {
    if ($("rinse").hidden) return;
    const left = Math.ceil((until - Date.now()) / 1000), code = next();
    if (!code) return end();
    $("seconds").textContent = Math.max(0, left);
    button.textContent = pick ? "Go to the next plates" : "Go to plate " + code;
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
  $("place").textContent = $("place").textContent.split(", ")[0] + ", all marked";
  if (state.choice || body.dataset.state === "thanks") {
    show("thanks");
    $("thanks-more").textContent = state.queue.length ? "Keep this page open: some of it is still on this phone." : "Your marks are with the kitchen. Say nothing about the plates until everybody has finished.";
    button.hidden = true;
    $("foot-says").textContent = "";
  } else {
    show("choose");
    button.hidden = false;
    button.setAttribute("form", "choice");
    button.textContent = document.querySelector("[name=choice]") ? "That is the one" : "Done";
    button.disabled = false;
    button.classList.add("act");
    $("foot-says").textContent = "";
  }
  where();
}

// plates that the kitchen took back while this phone was away, as the newest answer has them
function takenBack(said) {
  const here = said.split(/\s+/).filter(Boolean);
  if (here.join(" ") === state.gone.join(" ")) return;
  state.gone = here;
  write(state);
  leave();
  if (!$("gone").hidden) scrollTo(0, 0);  // it stands above the ballot, where it is read before anything is eaten
  if (!$("taste").hidden && now() !== next()) plate();
  else if (!$("choose").hidden && next()) plate();
}
function leave() {
  const tasted = marked(), gone = state.gone.filter((code) => state.known.includes(code));
  const mine = gone.filter((code) => !tasted.has(code)), had = gone.filter((code) => tasted.has(code));
  const one = (list) => list.length === 1 && !pick, named = (list) => `${pick ? "" : one(list) ? "plate " : "plates "}${list.map(plain).join("; ")}`;
  const says = [];
  if (mine.length) says.push(`Leave ${named(mine)}. The kitchen has taken ${one(mine) ? "it" : "them"} back: don’t eat, and don’t mark.`);
  if (had.length) says.push(`You tasted ${named(had)}, and the kitchen has taken ${one(had) ? "it" : "them"} back since: your marks of ${one(had) ? "it" : "them"} don’t count. Ask the kitchen why.`);
  $("gone").hidden = says.length === 0;
  $("gone").firstChild.textContent = mine.length ? "Leave it" : "Taken back";
  $("gone-says").textContent = says.join(" ");
  for (const input of document.querySelectorAll("[name=choice]")) {
    input.disabled = input.closest("label").hidden = state.gone.includes(input.value);
    if (input.disabled) input.checked = false;
  }
}
// whether the kitchen answers: while it doesn't, a plate that still shows may have been taken back
function hear(answered) {
  unheard = !answered;
  $("unheard").hidden = answered || shut || !next();
  if (!$("unheard").hidden) $("unheard-says").textContent = (state.queue.length ? "" : "The kitchen can’t be reached. ") + ASK;
}
// what came too late can be read off and typed in by the kitchen
function over() {
  if (!shut || (!$("thanks").hidden && !state.queue.length)) return;
  for (const part of ["taste", "rinse", "choose", "thanks"]) $(part).hidden = true;
  $("gone").hidden = $("unheard").hidden = $("go").hidden = true;
  $("foot-says").textContent = "";
  const late = state.queue.filter((item) => item.code), box = $("kept-here");
  box.hidden = false;
  $("kept-says").textContent = "The tasting is closed. Thank you.";
  const marks = ({ code, at, words, ...rest }) => Object.values(rest).join(", ");
  $("kept-more").textContent = late.length
    ? `What is still on this phone came too late to be counted by itself. Show it to the kitchen, which can type it in: ${late.map((item) => `${plain(item.code)}: ${marks(item.body)}`).join("; ")}.`
    : "Everything that reached the kitchen counts.";
}

let sending = false;
const reason = async (answer) => { try { const said = (await answer.json()).answer; return said in AWAY ? said : "trouble"; } catch { return "trouble"; } };
async function send() {
  if (sending || !state.queue.length) return;
  sending = true;
  try {
    while (state.queue.length) {
      const item = state.queue[0];
      const stop = new AbortController(), timer = setTimeout(() => stop.abort(), 8000);
      const answer = await fetch(`${action}/${item.what}`, { method: "POST", headers: { "content-type": "application/json" }, body: JSON.stringify(item.body), signal: stop.signal });
      clearTimeout(timer);
      if (answer.status === 410) { shut = true; away = ""; break; }
      if (answer.status >= 500 || answer.status === 404 || answer.status === 429) { away = await reason(answer); break; }
      away = "";
      const heard = await answer.json();
      state.queue.shift();
      if (answer.status !== 422) { if (item.code) takenBack(heard.why); }
      else if (item.code) refused = `${plain(item.code)} couldn’t be kept: ${heard.why} Tell the kitchen.`;
      else { refused = heard.why; state.choice = null; }
      if (item.code) { state.done.push(item.code); kept.add(item.code); }
      write(state);
    }
    hear(away === "");
  } catch { away = "wifi"; hear(false); } finally { sending = false; where(); if (!$("thanks").hidden) end(); }
  if (refused) { $("kept-here").hidden = false; $("kept-more").textContent = refused; }
  over();
}
form.addEventListener("input", () => {
  state.draft = { code: now(), marks: given(form) };
  write(state);
  look();
});
form.addEventListener("submit", (event) => {
  event.preventDefault();
  const code = now();
  state.queue.push({ what: "marks", code, key: random(), body: { ...given(form), code, at: stamp() } });
  state.draft = {};
  write(state);
  rinse();
  send();
});
$("choice").addEventListener("submit", (event) => {
  event.preventDefault();
  state.choice = given($("choice"));
  state.queue.push({ what: "choice", key: random(), body: state.choice });
  write(state);
  end();
  send();
});
$("go").addEventListener("click", (event) => { if (!$("rinse").hidden) { event.preventDefault(); until = 0; where(); plate(); } });
async function here() {
  const code = next(), stop = new AbortController(), timer = setTimeout(() => stop.abort(), 8000);
  try {
    const answer = await fetch(action + "/here", { method: "POST", headers: { "content-type": "application/json" }, body: JSON.stringify({ place: code ? codes.indexOf(code) + 1 : 0 }), signal: stop.signal });
    const heard = answer.ok ? await answer.json() : null;
    if (heard) takenBack(heard.why);
    if (heard) shut = heard.answer === "closed";
    hear(answer.ok);
    over();
  } catch { hear(false); } finally { clearTimeout(timer); }
}
const again = () => { here(); send(); };
addEventListener("online", again);
addEventListener("offline", here);
addEventListener("pageshow", send);
document.addEventListener("visibilitychange", () => { if (!document.hidden) again(); });
setInterval(() => { send(); if (unheard) here(); }, 3000);
setInterval(here, 10000);
here();
if (state.queue.length || state.done.length) send();
write(state);
leave();
plate();
where();
