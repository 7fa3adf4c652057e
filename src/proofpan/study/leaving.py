"""A taster who is left out for good: the study as if they had never been asked."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

from proofpan.study.brief import Amendment, Taster
from proofpan.study.errors import ProofpanError
from proofpan.study.labelled import text_with_labels
from proofpan.study.study import Study

NOBODY = "Somebody"
NUMBERED = re.compile(r"Taster \d+")  # a study that says only how many taste
SAID = ("cautions", "says")  # sentences about plates, some of which name a taster


def of_those_asked(study: Study) -> Study:
    """The study without the marks of tasters who were dropped: counts and lists then agree with its verdict. Their codes stay."""
    gone = {t.name for t in study.brief.tasters if t.left is not None}
    if not gone:
        return study
    ballots = tuple(b for b in study.ballot_records if b.taster not in gone)
    return study.model_copy(update={"ballot_records": ballots, "answers": tuple(a for a in study.answers if a.taster not in gone)})


def never_asked(study: Study, name: str) -> Study:
    """The study without one taster: not among those asked, nor in its amendments, rounds, orders, marks and answers."""
    tasters = tuple(t for t in study.brief.tasters if t.name != name) or (Taster(name="Taster 1"),)
    amendments = tuple(a for a in (_unsaid(a, name) for a in study.brief.amendments) if a is not None)
    rounds = tuple(r.model_validate(without_taster(r.model_dump(mode="json"), name)) for r in study.rounds)
    sittings = tuple(s.model_validate(without_taster(s.model_dump(mode="json"), name)) for s in study.sittings)
    return study.model_copy(update={
        "brief": study.brief.model_copy(update={"tasters": tasters, "amendments": amendments}),
        "rounds": rounds,
        "sittings": sittings,
        "ballot_records": tuple(b for b in study.ballot_records if b.taster != name),
        "answers": tuple(a for a in study.answers if a.taster != name),
    })


def text_never_asked(text: str, name: str) -> str:
    """A study file's text without one taster; to the byte as it was when it doesn't name them.

    A text that can't be read as a study keeps its shape, with somebody's name in place of theirs.
    """
    if name not in text and not NUMBERED.fullmatch(name):
        return text
    try:
        study = Study.from_text(text)
    except ProofpanError:
        return text_with_labels(text, {name: NOBODY})
    after = never_asked(study, name)
    return text if after == study else after.to_yaml()


def without_taster(record: Mapping[str, Any], name: str) -> dict[str, Any]:
    """A recorded document without one taster's plates, orders and sets, and without the sentences that name them."""
    named = re.compile(rf"(?<!\w){re.escape(name)}(?!\w)")
    out: dict[str, Any] = {}
    for key, value in record.items():
        if isinstance(value, (list, tuple)):
            kept = [v for v in value if not (isinstance(v, Mapping) and v.get("taster") == name)]
            out[key] = [v for v in kept if not (key in SAID and isinstance(v, str) and named.search(v))]
        else:
            out[key] = value
    return out


def _unsaid(amendment: Amendment, name: str) -> Amendment | None:
    """An amendment without what it says of a taster; none when it said nothing else."""
    parts = [p for p in amendment.what.split("; ") if p not in (f"{name} no longer tastes", f"added taster {name}")]
    if not parts:
        return None
    return amendment if "; ".join(parts) == amendment.what else amendment.model_copy(update={"what": "; ".join(parts)})
