// Run in a page under test: what can be pressed or typed in, whether focus shows there and isn't covered, and what looks pressed but isn't a control.
window.lookedOver = (() => {
  const CONTROLS = "a[href], button:not(:disabled), input:not([type=hidden]):not(:disabled), select:not(:disabled), textarea:not(:disabled), summary, [tabindex]:not([tabindex='-1'])";
  const words = (e) => (e.outerHTML.replace(/\s+/g, " ").slice(0, 110) + " … " + (e.textContent || "").trim().slice(0, 30));
  const shown = (e) => e.checkVisibility({ visibilityProperty: true }) && e.getBoundingClientRect().width > 0;
  const group = (e) => (e.form ? e.form.id || e.form.action : "") + e.name;
  // of a set of radios the tab key stops at one: the arrows go on from there
  const stops = () => {
    const all = [...document.querySelectorAll(CONTROLS)].filter(shown), seen = new Map();
    for (const e of all) if (e.type === "radio" && (e.checked || !seen.has(group(e)))) seen.set(group(e), e);
    return all.filter((e) => e.type !== "radio" || seen.get(group(e)) === e);
  };
  const ring = (e) => { const s = getComputedStyle(e); return s.outlineStyle !== "none" && parseFloat(s.outlineWidth) >= 2; };
  return {
    open() { for (const d of document.querySelectorAll("details")) d.open = true; },
    stops() {
      const found = stops();
      found.forEach((e, i) => e.setAttribute("data-stop", i));
      window.visited = [];
      document.addEventListener("focusin", (event) => window.visited.push(event.target.getAttribute("data-stop")), true);
      const inner = { date: 4, time: 4, "datetime-local": 8, month: 3 };
      return { presses: found.reduce((sum, e) => sum + 1 + (inner[e.type] || 0), 4), words: found.map(words) };
    },
    focus() {
      const out = { unseen: [], covered: [] };
      for (const e of stops()) {
        e.focus({ focusVisible: true });
        const near = [e, e.closest("label"), e.closest(".choose label, .slot, .steps-of label, .kinds label"), e.closest(".q, .ln")].filter(Boolean);
        if (document.activeElement !== e) continue;
        if (!near.some(ring)) out.unseen.push(words(e));
        const box = e.getBoundingClientRect(), at = [];
        for (const x of [0.1, 0.5, 0.9]) for (const y of [0.1, 0.5, 0.9]) at.push(document.elementFromPoint(box.left + box.width * x, box.top + box.height * y));
        if (!at.some((hit) => hit && (e.contains(hit) || near.some((n) => n.contains(hit)) || hit.contains(e)))) out.covered.push(words(e));
      }
      document.activeElement?.blur();
      return out;
    },
    printed() {
      const out = [...document.querySelectorAll("button, .btn, form, nav, .edge")].filter(shown).map(words);
      const blank = [...document.querySelectorAll("main section")].filter((s) => shown(s) && !s.querySelector("img, svg") && s.innerText.trim() === (s.querySelector("h2")?.innerText ?? "").trim());
      return [...out, ...blank.map((s) => "nothing under " + s.innerText.trim())];
    },
    pressed() {
      const ok = CONTROLS + ", label, option, .ln, input, button, select, textarea";
      return [...document.querySelectorAll("main *, footer *")].filter((e) => shown(e) && getComputedStyle(e).cursor === "pointer" && !e.closest(ok)).map(words);
    },
  };
})();
