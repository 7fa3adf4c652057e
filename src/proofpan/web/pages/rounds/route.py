"""Propose a round, rule a version out with a reason, plan it."""

from __future__ import annotations

from fastapi import APIRouter, Depends
from starlette.responses import Response

from proofpan.notebook.shelf import add_round, change_brief
from proofpan.steps.rounds import next_round
from proofpan.study.errors import StudyError
from proofpan.study.rounds import Round
from proofpan.web.desk import Desk, Typed, go, lead, typed
from proofpan.web.pages.rounds.page import rounds_page
from proofpan.web.rendering import show
from proofpan.web.shelfcache import Standing

router = APIRouter()


def unfinished(standing: Standing) -> Round | None:
    """The newest round while it has a plate to taste."""
    study = standing.study
    if not study.rounds:
        return None
    newest = study.rounds[-1]
    tasted = {b.trial for b in study.ballot_records}
    open_ = [t for t in newest.trials if t.trial not in tasted and not ((found := study.trial(t.trial)) and found.failed)]
    return newest if open_ else None


def asked_of(form: Typed) -> tuple[int, int | None, int | None]:
    """Seed, loads and passes as asked."""
    loads = form.whole("loads", 0, 1, 20) if form.get("loads") else None
    passes = form.whole("passes", 0, 1, 4) if form.get("passes") else None
    return form.whole("seed", 0, 0, 999_999), loads, passes


def rounds(desk: Desk, study_id: str, form: Typed) -> Response:
    """The page."""
    standing = desk.standing(study_id)
    more = form.get("more") == "1"
    planned = None if more else unfinished(standing)
    seed, loads, passes = asked_of(form)
    if planned is not None:
        round_, state = planned, "planned"
    else:
        round_ = standing.kept(("round", seed, loads, passes), lambda: next_round(standing.study, seed=seed, loads=loads, passes=passes))
        state = "proposed" if round_ else "none"
    model = rounds_page(
        standing.study, round_, state, study_id, seed, (form.get("loads"), form.get("passes")), more,
        stop=_why_stop(standing) if state == "proposed" else "",
    )
    return show("rounds", model, desk.frame("Rounds", standing, "rounds"))


def _why_stop(standing: Standing) -> str:
    """Why the verdict wouldn't cook another round; empty where it would, or nothing is tasted."""
    if not standing.study.ballot_records:
        return ""
    advice = standing.verdict.next
    return advice.why if advice.stop else ""


@router.get("/study/{study_id}/rounds")
def get_rounds(study_id: str, desk: Desk = Depends(lead)) -> Response:
    """The round to cook next."""
    return rounds(desk, study_id, Typed(list(desk.request.query_params.multi_items())))


def _allow(desk: Desk, standing: Standing, text: str) -> None:
    """What was ruled out may be made again."""
    kept = [line for line in standing.study.brief.never if "; ".join(f"{k}={v}" for k, v in dict(line).items()) != text]
    if len(kept) < len(standing.study.brief.never):
        after = standing.study.model_copy(update={"brief": standing.study.brief.model_copy(update={"never": tuple(kept)})})
        change_brief(desk.book, standing.study_id, after, note=f"allowed {text} again")


@router.post("/study/{study_id}/rounds")
def post_rounds(study_id: str, form: Typed = Depends(typed), desk: Desk = Depends(lead)) -> Response:
    """Plan it, or rule one out with a reason."""
    desk.again = lambda: rounds(desk, study_id, Typed([]))
    standing = desk.standing(study_id)
    seed, loads, passes = asked_of(form)
    query = (
        f"?seed={seed}"
        + (f"&loads={loads}" if loads else "")
        + (f"&passes={passes}" if passes else "")
        + ("&more=1" if form.get("more") == "1" else "")
    )
    if form.get("what") == "never":
        version = standing.study.version(form.get("version"))
        why = form.get("why") or "not for us"
        after = standing.study.amend(add={"never": dict(version)}, why=why, on=desk.kitchen.clock().date())
        if not after.versions():
            raise StudyError("That is the only version left: nothing could be cooked.", field="why")
        change_brief(desk.book, study_id, after, note=f"ruled out {version}: {why}")
        return go(f"/study/{study_id}/{'verdict' if form.get('back') == 'verdict' else f'rounds{query}'}")
    if form.get("what") == "allow":
        _allow(desk, standing, form.get("never"))
        return go(f"/study/{study_id}/rounds{query}")
    round_ = next_round(standing.study, seed=seed, loads=loads, passes=passes)
    if not round_:
        raise StudyError(round_.cautions[0] if round_.cautions else "Nothing more to cook.")
    if form.get("number") and form.get("number") != str(round_.number):
        return go(f"/study/{study_id}/rounds")  # sent twice: it is planned
    add_round(desk.book, study_id, round_)
    return go(f"/study/{study_id}/{'day' if standing.study.brief.base is not None else 'cook'}")
