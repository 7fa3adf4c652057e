// Nothing typed is lost: every form's entries stay on this device until the kitchen's computer has acknowledged them.
const DRAFT = "draft:", QUEUE = "queue:";
const put = (name, value) => { try { localStorage.setItem(name, JSON.stringify(value)); } catch { /* a full or forbidden store: the form still posts */ } };
const read = (name) => { try { return JSON.parse(localStorage.getItem(name)); } catch { return null; } };
const drop = (name) => { try { localStorage.removeItem(name); } catch { /* as above */ } };
const random = () => Array.from(crypto.getRandomValues(new Uint8Array(12)), (b) => b.toString(16).padStart(2, "0")).join("");
const hidden = new Set(["csrf", "base", "once"]);
const nameOf = (form) => (form.getAttribute("action") || location.pathname) + "#" + form.dataset.keep; // a page that came again with its sentence has another address

function entries(form) {
  return [...new FormData(form).entries()].filter(([n, v]) => typeof v === "string" && !hidden.has(n));
}
// a draft knows what stood in its form when it was begun: it comes back while that still stands, whatever else was changed meanwhile
const begun = new Map();
const standing = (form) => JSON.stringify(entries(form));
function fill(form, held) {
  const left = new Map();
  for (const [n, v] of held.entries) left.set(n, [...(left.get(n) ?? []), v]);
  for (const field of form.elements) {
    const values = left.get(field.name);
    if (!values || field.type === "hidden" && !field.closest("[data-line]") || field.type === "file") continue;
    if (field.type === "radio" || field.type === "checkbox") field.checked = values.includes(field.value);
    else if (values.length) field.value = values.shift();
  }
  for (const line of form.querySelectorAll("[data-line]")) line.restore?.();
  form.dispatchEvent(new Event("input", { bubbles: true }));
}
function offer(form, held) {
  const box = document.createElement("p"), button = document.createElement("button");
  box.className = "err";
  box.textContent = "You had typed something here that isn’t kept, and another device has changed it since. ";
  button.type = "button";
  button.className = "word";
  button.textContent = "Put back what I typed";
  button.onclick = () => { box.remove(); fill(form, held); };
  box.append(button);
  form.prepend(box);
}
// what was sent and waits for its answer isn't typed again into the next form of its kind, nor does its answer forget what was typed since
function sent(form, held) {
  return Object.keys(localStorage).filter((n) => n.startsWith(QUEUE)).map(read)
    .some((item) => item?.draft === DRAFT + nameOf(form) && item.typed === JSON.stringify(held.entries));
}
function forget(item) {
  if (item.typed === JSON.stringify(read(item.draft)?.entries)) drop(item.draft);
}
function keep(form) {
  begun.set(form, standing(form));
  const held = read(DRAFT + nameOf(form));
  if (held && !sent(form, held)) {
    if (held.from === begun.get(form)) { fill(form, held); form.dataset.restored = ""; }
    else if (document.getElementById("wrong")); // what was refused stands there as it was typed
    else if (held.from && JSON.stringify(held.entries) !== begun.get(form) && form.elements.base?.value) offer(form, held);
    else drop(DRAFT + nameOf(form));
  }
  form.addEventListener("input", () => put(DRAFT + nameOf(form), { from: begun.get(form), entries: entries(form) }));
  form.addEventListener("kept", () => { drop(DRAFT + nameOf(form)); begun.set(form, standing(form)); });
}

// What is refused is said by its field, and the page stays as it is, with every word. Only a page that moved on meanwhile is shown anew.
function beside(says, form, field) {
  document.getElementById("wrong")?.remove();
  for (const before of document.querySelectorAll("main [aria-invalid]")) {
    before.removeAttribute("aria-invalid");
    if (before.getAttribute("aria-describedby") === "wrong") before.removeAttribute("aria-describedby");
  }
  const p = document.createElement("p");
  Object.assign(p, { className: "err", id: "wrong", textContent: says });
  p.setAttribute("role", "alert");
  if (!field) { getComputedStyle(form).display.includes("flex") ? form.before(p) : form.prepend(p); p.scrollIntoView({ block: "center" }); return; }
  for (let box = field.closest("details"); box; box = box.parentElement.closest("details")) box.open = true;
  const line = field.closest(".q"), row = getComputedStyle(field.parentElement).display.includes("flex") ? field.parentElement : null;
  const group = field.closest(".opts, .mid, .step, .choose, label") ?? row;
  if (line) line.append(p);
  else (group ?? field).after(p);
  const told = line?.querySelector("[role=slider]") ?? field, pad = document.querySelector(`[data-pad="${field.id}"]`);
  told.setAttribute("aria-invalid", "true");
  if (!told.hasAttribute("aria-describedby")) told.setAttribute("aria-describedby", "wrong");
  if (!pad?.checkVisibility()) told.focus({ preventScroll: true }); // where there are large keys the phone's own stay away
  (told.getBoundingClientRect().height < innerHeight / 3 ? told : p).scrollIntoView({ block: "center" });
}
function refused(form, answer, page) {
  const wrong = page.getElementById("wrong"), name = wrong?.dataset.field, base = page.querySelector("[name=base]")?.value;
  if (answer.status === 409 && !form.elements.base) {
    for (const part of ["main", "footer.edge"]) document.querySelector(part).replaceWith(page.querySelector(part));
    document.getElementById("wrong")?.scrollIntoView({ block: "center" });
    dress();
    document.dispatchEvent(new Event("replaced"));
    return;
  }
  if (answer.status === 409 && base) for (const field of document.querySelectorAll("[name=base]")) field.value = base; // told what the other changed, one decides
  const of_that = [...form.elements].filter((e) => name && e.name === name && (e.type !== "hidden" || e.closest("[data-line]")));
  beside((wrong ?? page.querySelector("h1"))?.textContent ?? "This wasn’t kept.", form, of_that.find((e) => !e.value) ?? of_that[0]);
}

// a form that can't be sent now waits here and is sent as soon as the kitchen's computer answers
let busy = false;
function say(text) {
  const waiting = document.getElementById("waiting");
  if (!waiting) return;
  waiting.textContent = text;
  waiting.hidden = !text;
}
async function send(name, item) {
  // after a restart the session is another: the page's own token goes with what waited
  const token = document.querySelector("[name=csrf]")?.value;
  const body = new URLSearchParams(item.entries.map(([n, v]) => [n, n === "csrf" && token ? token : v]));
  const waited = item.pressed ? Math.floor((Date.now() - item.pressed) / 60000) : 0;
  if (waited > 0) body.append("waited", waited);
  const answer = await fetch(item.action, { method: "POST", body, credentials: "same-origin", headers: { "x-kept": item.key } });
  if (answer.status === 403 || answer.status >= 500) throw new Error("not acknowledged");
  drop(name);
  return answer;
}
async function clear() {
  if (busy) return;
  busy = true;
  try {
    for (const name of Object.keys(localStorage).filter((n) => n.startsWith(QUEUE)).sort()) {
      const item = read(name);
      if (!item) { drop(name); continue; }
      const answer = await send(name, item);
      if (answer.ok) forget(item);
      else {
        const page = new DOMParser().parseFromString(await answer.text(), "text/html");
        say("What waited here couldn’t be kept: " + (page.getElementById("wrong") ?? page.querySelector("h1"))?.textContent);
        return;
      }
      if (item.page === location.pathname) { location.assign(answer.redirected ? answer.url : item.page); return; }
    }
    say("");
  } catch {
    say("Kept on this device. The kitchen’s computer is away, or was started anew: it goes across by itself when it is back (open its link again if it asks).");
  } finally { busy = false; }
}
document.addEventListener("submit", async (event) => {
  const form = event.target;
  if (!form.dataset.keep || event.defaultPrevented || form.querySelector("input[type=file]")?.files.length) return;
  event.preventDefault();
  const key = random(), name = QUEUE + Date.now().toString(36) + key;
  const data = [...new FormData(form, event.submitter).entries()].filter(([, v]) => typeof v === "string");
  const item = { action: form.getAttribute("action") || location.pathname, entries: data, key, page: location.pathname, draft: DRAFT + nameOf(form), typed: standing(form), ...("timed" in form.dataset && { pressed: Date.now() }) };
  put(name, item);
  if (event.submitter) event.submitter.disabled = true;
  try {
    const answer = await send(name, item);
    if (answer.ok) { drop(item.draft); location.assign(answer.url); return; }
    const page = new DOMParser().parseFromString(await answer.text(), "text/html");
    if (event.submitter) event.submitter.disabled = false;
    refused(form, answer, page);
  } catch { await clear(); }
});
if (Object.keys(localStorage).some((n) => n.startsWith(QUEUE))) clear();
setInterval(() => { if (Object.keys(localStorage).some((n) => n.startsWith(QUEUE))) clear(); }, 4000);
addEventListener("online", clear);

// small conveniences, each hung on one attribute
document.addEventListener("click", (event) => {
  const by = event.target.closest("[data-by]");
  if (by) {
    const field = by.parentElement.querySelector("input"), step = Number(by.dataset.by);
    field.value = String(Math.max(Number(field.min || 0), Math.round((Number(field.value || 0) + step) * 1000) / 1000));
    field.dispatchEvent(new Event("input", { bubbles: true }));
  }
  const digit = event.target.closest("[data-digit]");
  if (digit) {
    const field = document.getElementById(digit.parentElement.dataset.pad);
    if (field.hasAttribute("aria-invalid") || "restored" in field.form.dataset) { // a code that was refused, or typed before a reload, is typed anew
      if (digit.dataset.digit !== "back") field.value = "";
      field.removeAttribute("aria-invalid");
      delete field.form.dataset.restored;
    }
    field.value = digit.dataset.digit === "back" ? field.value.slice(0, -1) : (field.value + digit.dataset.digit).slice(0, 3);
    field.dispatchEvent(new Event("input", { bubbles: true }));
  }
  if (event.target.closest("[data-add]")) {
    const list = event.target.closest("form").querySelector("[data-more]"), rows = list.children;
    const row = rows[rows.length - 1].cloneNode(true), field = row.querySelector("input"), letter = "ABCDEF"[rows.length];
    field.value = ""; field.required = false; field.placeholder = ""; field.setAttribute("aria-label", "Option " + letter);
    const round = row.querySelector(".pl"); if (round) round.textContent = letter;
    list.append(row); field.focus();
    event.target.hidden = rows.length >= Number(list.dataset.most);
  }
});
function dress() {
  for (const form of document.querySelectorAll("form[data-keep]")) keep(form);
  for (const button of document.querySelectorAll("[data-add], [data-pad]")) button.hidden = false;
  for (const field of document.querySelectorAll("[data-when]")) {
    const [name, values] = field.dataset.when.split("="), form = field.closest("form");
    const look = () => { field.hidden = !values.split(",").includes(form.elements[name].value); };
    form.addEventListener("input", look);
    look();
  }
  for (const note of document.querySelectorAll("[data-rinse]")) {
    let left = Number(note.dataset.rinse);
    const timer = note.querySelector("[role=timer]");
    const tick = () => { timer.textContent = left > 0 ? left + " seconds" : ""; if (left-- > 0) setTimeout(tick, 1000); };
    tick();
  }
}
dress();
// a page that came again with its sentence at the top, as a form with a file does
const told = document.getElementById("wrong"), meant = told?.dataset.field ? [...document.querySelectorAll(`main [name="${CSS.escape(told.dataset.field)}"]`)].filter((e) => e.type !== "hidden") : [];
if (meant.length && meant.every((e) => e.form === meant[0].form)) beside(told.textContent, meant[0].form, meant.find((e) => !e.value) ?? meant[0]);
