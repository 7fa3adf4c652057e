"""What other kitchens marked, recipe and control alike, and what makes older trials speak less: both enter the verdict's model."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING

from pydantic import Field, model_validator

from proofpan.study.errors import StudyError
from proofpan.study.fields import Doc
from proofpan.study.frames import NO, given
from proofpan.study.trials import VersionField
from proofpan.study.versions import Version

if TYPE_CHECKING:
    from proofpan.study.study import Study

MARKS = (0.0, 10.0)


class KitchenMark(Doc):
    """One kitchen's mark of one version that it made as written, in points from 0 to 10."""

    kitchen: str
    version: VersionField
    score: float = Field(ge=MARKS[0], le=MARKS[1])


class Changed(Doc):
    """Something that makes old trials speak less: which, from which round on, and the weight that earlier trials keep."""

    what: str
    why: str = ""
    since_round: int
    weight: float

    @model_validator(mode="after")
    def _within(self) -> Changed:
        if not 0 <= self.weight <= 1:
            raise StudyError("A weight lies between 0 (forget the old trials) and 1 (they count in full).")
        return self


def marks_of_row(study: Study, version: Version, row: Mapping[str, str], control: str = "") -> tuple[KitchenMark, ...]:
    """A report's marks: of the recipe, and of the control; none of a run with a swap, which tests the swap.

    Parameters: row, one report; control, the version made beside it, else the recipe without anything varied.
    """
    swaps = str(row.get("swaps", ""))
    kitchen = str(row.get("tester", "")).strip().casefold()
    if not kitchen or (given(swaps) and swaps.casefold() not in NO):
        return ()
    out = []
    for name, made in (("score", version), ("control", _control(study, control))):
        score = _points(str(row.get(name, "")))
        if score is not None and made is not None and not (name == "control" and made == version):
            out.append(KitchenMark(kitchen=kitchen, version=made, score=score))
    return tuple(out)


def weight_of_round(changes: Iterable[Changed], number: int) -> float:
    """How much a round's marks count: of each kind of change the newest stands, and kinds multiply."""
    newest = {c.what: c for c in changes}
    out = 1.0
    for change in newest.values():
        out *= change.weight if number < change.since_round else 1.0
    return out


def _control(study: Study, given_: str) -> Version | None:
    try:
        return study.version(given_ or {})
    except StudyError:  # an option that was dropped since: what it was held against isn't known any more
        return None


def _points(text: str) -> float | None:
    try:
        score = float(text.strip().replace(",", "."))
    except ValueError:
        return None
    return score if MARKS[0] <= score <= MARKS[1] else None
