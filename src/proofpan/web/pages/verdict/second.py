"""The second analysis on the verdict's page: one plain sentence, its table folded behind it."""

from __future__ import annotations

from dataclasses import dataclass

from proofpan.steps.confirming import Confirming
from proofpan.steps.panels import PanelAnswer
from proofpan.study.words import capital, option_words

SIGNED = "−"


@dataclass(frozen=True)
class SecondLine:
    """One pair of options by both ways."""

    what: str
    marks: str
    range: str
    chance: str
    verdict: str
    same: str


@dataclass(frozen=True)
class SecondPart:
    """What the template reads."""

    says: tuple[str, ...]
    lines: tuple[SecondLine, ...]
    left_out: str
    method: str
    others: tuple[PanelAnswer, ...]


def second_part(found: Confirming, others: tuple[PanelAnswer, ...] = ()) -> SecondPart:
    """A confirming analysis, and what the marks say in other ways, to be shown."""
    lines = tuple(
        SecondLine(
            f"{capital(option_words(r.factor, r.option))} against {option_words(r.factor, r.against)}",
            _signed(r.difference),
            f"{_signed(r.low)} to {_signed(r.high)}",
            "under 0.001" if r.p < 0.001 else f"{r.p:.3f}",
            _signed(r.posterior),
            "agrees" if r.agrees else "disagrees",
        )
        for r in found.rows
    )
    apart = ", ".join(_plain(t) for t in found.left_out)
    left = f"The marks can't tell apart, so it leaves out, what varies by {apart}." if apart else ""
    if found.no_spread:
        left = f"{left} What varies by {', '.join(_plain(t) for t in found.no_spread)} came out as nothing (a variance of 0).".strip()
    return SecondPart(found.says, lines, left, found.method if lines else "", others)


def _plain(term: str) -> str:
    return term.replace(":", " and ")


def _signed(value: float) -> str:
    return f"{value:+.2f}".replace("-", SIGNED)
