// The board looks again every three seconds.
const board = document.getElementById("board");
if (board) setInterval(async () => {
  try {
    const answer = await fetch(board.dataset.board, { credentials: "same-origin" });
    if (answer.status === 200) {
      board.innerHTML = await answer.text();
      const now = board.querySelector("table").dataset;
      for (const [id, says] of [["headline", now.headline], ["under", now.under]]) {
        const line = document.getElementById(id);
        if (line && line.textContent !== says) line.textContent = says;
      }
    } else if (answer.status === 204) location.reload();
  } catch { /* the lines that stand say when each was last heard of */ }
}, 3000);
