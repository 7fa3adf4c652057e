// What a tester types stays on their device until the kitchen has it.
const form = document.getElementById("answers"), shelf = "test:" + location.pathname;
const read = () => { try { return JSON.parse(localStorage.getItem(shelf)) ?? {}; } catch { return {}; } };
if (form) {
  const held = read();
  if (!document.getElementById("wrong")) for (const field of form.elements) {
    const value = held[field.name];
    if (value === undefined || field.type === "file") continue;
    if (field.type === "radio" || field.type === "checkbox") field.checked = field.value === value; else field.value = value;
  }
  form.addEventListener("input", () => {
    const entries = [...new FormData(form).entries()].filter(([, v]) => typeof v === "string" && v);
    try { localStorage.setItem(shelf, JSON.stringify(Object.fromEntries(entries))); document.getElementById("state").textContent = "Kept on this device."; } catch { /* a full or forbidden store: the form still posts */ }
  });
} else try { localStorage.removeItem(shelf); } catch { /* as above */ }
