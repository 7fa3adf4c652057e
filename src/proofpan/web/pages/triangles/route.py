"""Triangles: pick the odd one, lift the plates, type its code."""

from __future__ import annotations

from fastapi import APIRouter, Depends
from starlette.responses import Response

from proofpan.steps.quick import not_eaten
from proofpan.steps.triangles import TrianglePlan, TriangleResult, triangle_plan, triangle_result
from proofpan.study.errors import BallotError, did_you_mean
from proofpan.web.desk import Desk, Typed, go, lead, typed
from proofpan.web.pages.codes.route import quick_of
from proofpan.web.pages.triangles.page import TrianglesPage
from proofpan.web.rendering import show
from proofpan.web.shelfcache import Standing

router = APIRouter()
ANSWER = "triangle"
MARKED = 2      # how often each plate is marked in the comparison that follows


def plan_of(standing: Standing) -> TrianglePlan:
    """The turns that were fixed."""
    begun = quick_of(standing)
    plan: TrianglePlan = standing.kept("triangles", lambda: triangle_plan(standing.study, int(begun["turns"]), int(begun["seed"])))
    return plan


def is_right(plan: TrianglePlan, turn: int, code: str) -> bool:
    """Whether the code is the odd one's of a turn (from 0)."""
    laid = plan.turns[turn]
    odd = next(i for i, option in enumerate(laid) if laid.count(option) == 1)
    return plan.codes[turn][odd] == code


def triangles(desk: Desk, study_id: str) -> Response:
    """The page."""
    standing = desk.standing(study_id)
    plan = plan_of(standing)
    answers = standing.of_kind(ANSWER)
    turn, total = len(answers), len(plan.turns)
    done = turn >= total
    right = sum(is_right(plan, int(e.payload["turn"]), str(e.payload["code"])) for e in answers)
    found = triangle_result(right, total) if done else None
    plates = () if done else tuple(zip(plan.codes[turn], plan.turns[turn], strict=True))
    model = TrianglesPage(
        done=done,
        headline=found.says if found else "Which is the odd one?",
        under=""
        if done
        else f"Turn {turn + 1} of {total}. Lay these three, shuffle with eyes shut, taste, pick the odd one; then lift it.",
        turn=turn,
        turns=total,
        plates=tuple(sorted(plates)),
        says=plan.says,
        result=_share(found) if found else "",
        action=f"/study/{study_id}/triangles",
        then=found.then if found else "",
        then_says=found.then_says if found else "",
        then_turns=(found.more_turns if found else None) or MARKED,
        options=plan.options,
        names=", ".join(n for n in standing.study.tasters if not n.startswith("Taster ")),
        dont_eat=", ".join(not_eaten(standing.study)),
    )
    return show("triangles", model, desk.frame("Triangles", standing, "triangles"))


def _share(found: TriangleResult) -> str:
    low, high = found.share
    return f"So you truly tell them apart in {100 * low:.0f} to {100 * high:.0f} of 100 turns (95 in 100). It speaks for your palate alone."


@router.get("/study/{study_id}/triangles")
def get_triangles(study_id: str, desk: Desk = Depends(lead)) -> Response:
    """The turn in hand."""
    return triangles(desk, study_id)


@router.post("/study/{study_id}/triangles")
def post_triangle(study_id: str, form: Typed = Depends(typed), desk: Desk = Depends(lead)) -> Response:
    """The odd one's code."""
    desk.typed = form.texts
    desk.again = lambda: triangles(desk, study_id)
    standing = desk.standing(study_id)
    plan, turn = plan_of(standing), form.whole("turn", 0, 0, 60)
    if turn != len(standing.of_kind(ANSWER)) or turn >= len(plan.turns):
        return go(f"/study/{study_id}/triangles")  # sent twice
    code = form.get("code").replace(" ", "")
    if code not in plan.codes[turn]:
        raise BallotError(f"No plate of this turn bears “{code[:12]}”. {did_you_mean(code, list(plan.codes[turn]))}", field="code")
    desk.book.append(study_id, ANSWER, {"turn": turn, "code": code}, key=f"triangle:{turn}")
    return go(f"/study/{study_id}/triangles")
