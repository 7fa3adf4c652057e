// A grid typed fast: Enter goes on as Tab does, arrows go to the next row or, at the end of a cell's text, to the next cell; nothing is sent by Enter
// but from the last cell's button.
const grid = document.getElementById("grid");
const cells = () => [...grid.querySelectorAll("td input")];
function go(field) {
  if (!field) return;
  field.focus();
  field.select?.();
}
function beside(field, by) {
  const all = cells();
  return all[all.indexOf(field) + by] ?? (by > 0 ? document.querySelector("button[form=grid]") : null);
}
function below(field, by) {
  const at = field.closest("td").cellIndex;
  let row = field.closest("tr");
  do row = by > 0 ? row.nextElementSibling : row.previousElementSibling; while (row && !row.cells[at].querySelector("input"));
  return row?.cells[at].querySelector("input");
}
grid.addEventListener("keydown", (event) => {
  const field = event.target;
  if (field.tagName !== "INPUT" || event.isComposing || event.ctrlKey || event.altKey || event.metaKey) return;
  const start = field.selectionStart === 0, end = field.selectionEnd === field.value.length, whole = start && end;
  const to = {
    Enter: () => beside(field, event.shiftKey ? -1 : 1),
    ArrowDown: () => below(field, 1),
    ArrowUp: () => below(field, -1),
    ArrowRight: () => (end && (whole || field.selectionStart === field.selectionEnd) ? beside(field, 1) : null),
    ArrowLeft: () => (start && (whole || field.selectionStart === field.selectionEnd) ? beside(field, -1) : null),
  }[event.key];
  if (!to || event.shiftKey && event.key !== "Enter") return;
  const next = to();
  if (!next && event.key !== "Enter") return;
  event.preventDefault();
  go(next);
});
