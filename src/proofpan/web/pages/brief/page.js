// The plan and its dry run change as the kitchen's form is typed in.
const plan = document.getElementById("plan"), form = document.getElementById("kitchen-form");
let turn = 0, timer = 0;
async function play() {
  const mine = ++turn, asked = new URLSearchParams([...new FormData(form).entries()].filter(([n]) => n !== "csrf" && n !== "once"));
  try {
    const answer = await fetch(plan.dataset.plan + "?" + asked, { credentials: "same-origin" });
    if (answer.ok && mine === turn) plan.innerHTML = await answer.text();
  } catch { /* the figures that stand are still those of what is kept */ }
}
form.addEventListener("input", () => { clearTimeout(timer); timer = setTimeout(play, 400); });
play();
