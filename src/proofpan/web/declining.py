"""“Not that, because …”: a proposal declined in one tap, on whatever page it stands, and considered again in another."""

from __future__ import annotations

from urllib.parse import urlencode

from proofpan.notebook.shelf import change_brief
from proofpan.study.declined import Declined
from proofpan.study.study import Study
from proofpan.web.desk import Desk, Typed
from proofpan.web.shelfcache import Standing

NO_REASON = "it’s not for us"
EARLIER = "declined"  # events of notebooks in which the brief didn't hold it yet
BACK = ("brief", "sources", "rounds", "verdict", "recipe", "editions", "how-we-tested")
LONGEST_PROPOSAL, LONGEST_WHY, LONGEST_NOTE = 600, 300, 70


def why_not(standing: Standing) -> dict[str, str]:
    """{proposal: why it was declined} of everything that was."""
    earlier = {str(e.payload["proposal"]): str(e.payload["why"]) for e in standing.of_kind(EARLIER)}
    return earlier | {d.proposal: d.why or NO_REASON for d in standing.study.brief.declined}


def decline(desk: Desk, study_id: str, form: Typed) -> None:
    """Keep that a proposal was declined, or that it is considered again, as a change of the brief that an undo names."""
    study = desk.standing(study_id).study
    proposal = form.get("proposal")[:LONGEST_PROPOSAL]
    rest = tuple(d for d in study.brief.declined if d.proposal != proposal)
    if form.get("what") == "again":
        said, declined = f"considered again: {_short(proposal)}", rest
    else:
        new = Declined(proposal=proposal, why=form.get("why")[:LONGEST_WHY] or NO_REASON, on=desk.kitchen.clock().date())
        said, declined = f"not that: {_short(proposal)}", (*rest, new)
    if proposal and declined != study.brief.declined:
        after: Study = study.model_copy(update={"brief": study.brief.model_copy(update={"declined": declined})})
        change_brief(desk.book, study_id, after, note=said)


def where_from(study_id: str, form: Typed, else_: str = "brief") -> str:
    """The page that a form came from, of those on which something is proposed."""
    step = form.get("back") if form.get("back") in BACK else else_
    version = f"?{urlencode({'version': form.get('version')})}" if step == "recipe" and form.get("version") else ""
    return f"/study/{study_id}/{step}{version}"


def _short(text: str) -> str:
    return text if len(text) <= LONGEST_NOTE else f"{text[:LONGEST_NOTE].rsplit(' ', 1)[0]} …"
