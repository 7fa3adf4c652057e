"""The errors a person sees: one sentence that says what is wrong, where, and what would be right.

ProofpanError
├── StudyError      a study file or an amendment
├── TrialError      what was cooked
├── BallotError     what was tasted
├── QuantityError   an amount, a unit or a claim
├── DayError        a day that can't be cooked; .conflict names the limits that clash
└── NotReady        a recipe that can't be published yet; .reasons
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

LONGEST = 300


@dataclass(frozen=True)
class Fault:
    """One thing that is wrong, and where it stands."""

    says: str
    field: str = ""
    line: int | None = None


class ProofpanError(Exception):
    """A bad input, said in one sentence of at most 300 characters."""

    def __init__(
        self,
        says: str,
        *,
        file: str | Path | None = None,
        line: int | None = None,
        field: str = "",
        more: int = 0,
    ) -> None:
        self.file = None if file is None else str(file)
        self.line = line
        self.field = field
        self.more = more
        self.what = " ".join(says.split())
        super().__init__(self._sentence())

    @classmethod
    def of(cls, faults: Sequence[Fault], file: str | Path | None = None) -> ProofpanError:
        """The first of several faults, in the file's order, with a count of the others."""
        first = min(faults, key=lambda f: f.line if f.line is not None else 1 << 30)
        return cls(first.says, file=file, line=first.line, field=first.field, more=len(faults) - 1)

    def _sentence(self) -> str:
        place = Path(self.file).name if self.file else ""
        if self.line is not None:
            place = f"{place}:{self.line}" if place else f"line {self.line}"
        where = ", ".join(shorten(p, 80) for p in (place, self.field) if p)
        tail = f" … and {self.more} more" if self.more else ""
        room = LONGEST - len(where) - len(tail) - 2
        what = self.what if len(self.what) <= room else self.what[: room - 1].rstrip() + "…"
        return (f"{where}: " if where else "") + what + tail


class StudyError(ProofpanError):
    """A study file or an amendment that can't be taken."""


class TrialError(ProofpanError):
    """A trial that doesn't fit the study."""


class BallotError(ProofpanError):
    """A ballot that doesn't fit the study."""


class QuantityError(ProofpanError):
    """An amount, a unit or a claim that can't be read or compared."""


class DayError(ProofpanError):
    """A day that can't be cooked; `conflict` names the limits that clash, `ease` says of each where it could be eased."""

    conflict: tuple[str, ...] = ()
    ease: tuple[str, ...] = ()

    def __init__(self, says: str, *, conflict: Sequence[str] = (), ease: Sequence[str] = ()) -> None:
        self.conflict, self.ease = tuple(conflict), tuple(ease)
        super().__init__(says)


class NotReady(ProofpanError):  # noqa: N818 - the contract's name
    """A recipe that can't be published yet; `reasons` are sentences."""

    def __init__(self, reasons: Sequence[str]) -> None:
        self.reasons = tuple(reasons)
        more = len(self.reasons) - 1
        super().__init__(f"Not ready to publish: {self.reasons[0]}" + (f" … and {more} more" if more else ""))


def shorten(text: str, longest: int = 60) -> str:
    """A name as it is quoted in a sentence: no line breaks, cut with an ellipsis."""
    text = " ".join(str(text).split())
    return text if len(text) <= longest else text[: longest - 1] + "…"


def quoted(text: object) -> str:
    """A user's word in curly quotes, shortened."""
    return f"“{shorten(str(text))}”"


def nearest(word: str, known: Sequence[str], *, cutoff: float = 0.6) -> str | None:
    """The known name that a mistyped one most likely means."""
    import difflib

    low = {k.lower(): k for k in reversed(known)}
    found = difflib.get_close_matches(str(word).lower(), list(low), n=1, cutoff=cutoff)
    return low[found[0]] if found else None


def did_you_mean(word: str, known: Sequence[str], *, most: int = 6) -> str:
    """How a sentence about an unknown name ends: the nearest known one, or the known ones."""
    close = nearest(word, known)
    if close is not None:
        return f"Did you mean {quoted(close)}?"
    if not known:
        return "There are none yet."
    shown = ", ".join(quoted(k) for k in known[:most])
    return f"Known: {shown}" + (f" and {len(known) - most} more." if len(known) > most else ".")
