"""The ruler of steps: what each step has come to, in a word or two, and where a study opens."""

from __future__ import annotations

from proofpan.notebook import Notebook
from proofpan.study.words import counted
from proofpan.web.frame import STEPS, Step
from proofpan.web.shelfcache import Standing

NOT_YET = "not yet"
FAR = 1.25


def states_of(book: Notebook, standing: Standing) -> dict[str, str]:
    """A word for each step that has come to something; the others are left out."""
    study = standing.study
    out: dict[str, str] = {}
    if study.rounds or study.trial_records:
        out["brief"] = "changed" if study.amendments else "agreed"
    if study.claims:
        out["sources"] = standing.kept("sources", lambda: _sources(standing))
    if study.rounds or study.trial_records:
        made = len({t.round for t in study.trial_records})
        out["rounds"] = f"{made} of {max(study.plan.at_most, made)}"
    if study.rounds and study.brief.base is not None:
        out["day"] = "planned"
    planned = [t for t in study.trial_records if t.planned or t.recorded]
    cooked = study.cooked
    if cooked:
        out["cook"] = f"{len(cooked)} of {max(len(planned), len(cooked))}"
    if study.ballot_records:
        plates = {(b.round, b.trial, b.taster, b.pass_) for b in study.ballot_records}
        out["tasting"] = counted(len(plates), "ballot")
    if any(t.closed is None for t in book.tastings(standing.study_id)):
        out["tasting"] = "open now"
    if readings := standing.of_kind("report"):
        out["readings"] = f"{len(readings)} taken"
    if study.ballot_records:
        settled = [a.row.settled for a in standing.verdict.answers]
        out["verdict"] = f"{sum(settled)} of {len(settled)} settled"
    if editions := standing.of_kind("edition"):
        out["recipe"], out["how-we-tested"] = "printed", f"edition {len(editions)}"
    return out


def _sources(standing: Standing) -> str:
    from proofpan.steps.claims import claims_of

    checked = claims_of(standing.study)
    far = sum(1 for _, c in checked if not isinstance(c, Exception) and not c.agrees)
    return f"{far} of {len(checked)} far out" if far else f"{len(checked)} agree{'s' if len(checked) == 1 else ''}"


def ruler_of(book: Notebook, standing: Standing, here: str) -> tuple[Step, ...]:
    """The ruler with one step lit."""
    from proofpan.web.desk import is_quick

    root = f"/study/{standing.study_id}"
    if is_quick(standing):
        return _quick(standing, root, here)
    states = states_of(book, standing)
    here = "tasting" if here in ("codes", "alone", "triangles", "paper") else here
    opens = opens_at(standing)
    out = []
    for name, shown in STEPS:
        state = "now" if name == here else "done" if name in states else "wait"
        says = states.get(name, "next" if name == opens else NOT_YET)
        out.append(Step(shown, f"{root}/{name}", says, state))
    return tuple(out)


def _quick(standing: Standing, root: str, here: str) -> tuple[Step, ...]:
    study = standing.study
    tasted = len({(b.trial, b.taster, b.pass_) for b in study.ballot_records}) or len(standing.of_kind("triangle"))
    alone = len(study.tasters) == 1
    triangles = standing.of_kind("quick")[-1].payload.get("mode") == "triangles"
    taste = "triangles" if triangles else "alone" if alone else "tasting"
    marks = [
        ("brief", "Options", f"{root}/brief", counted(len(study.factors[0].options), "option"), True),
        ("codes", "Codes", f"{root}/codes", "under the plates", bool(study.rounds)),
        ("taste", "Taste", f"{root}/{taste}", f"{counted(tasted, 'answer')} so far" if tasted else NOT_YET, tasted > 0),
        (
            "verdict",
            "Verdict",
            f"{root}/{'triangles' if triangles else 'verdict'}",
            "by your palate" if alone else "by your palates",
            False,
        ),
    ]
    lit = "taste" if here in ("alone", "tasting", "triangles", "paper") else here
    return tuple(Step(shown, href, says, "now" if name == lit else "done" if done else "wait") for name, shown, href, says, done in marks)


def opens_at(standing: Standing) -> str:
    """The next unfinished step of a study."""
    study = standing.study
    if not study.trial_records:
        return "brief"
    newest = max(t.round for t in study.trial_records)
    trials = [t for t in study.trial_records if t.round == newest]
    tasted = {b.trial for b in study.ballot_records if b.round == newest}
    if not any(t.recorded for t in trials) and not tasted:
        return "cook"
    waiting = [t for t in trials if not t.recorded and t.trial not in tasted]
    if waiting and not tasted:
        return "cook"
    if not tasted:
        return "tasting"
    if any(t.trial not in tasted and not t.failed for t in trials):
        return "tasting"
    return "verdict"
