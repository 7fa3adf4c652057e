"""What a reading gives: figures in words, each with its interval and how it was obtained."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from proofpan.study.fields import Doc

if TYPE_CHECKING:
    from proofpan.science.reading import Reading

UNIT_WORDS = {"db", "s", "hz", "percent", "de"}


def rounded(value: float) -> str:
    """Three figures, two below a tenth, never in powers of ten: 0.012, 12.3, 1,230."""
    text = f"{value:.3g}" if abs(value) >= 0.1 else f"{value:.2g}"
    if "e" not in text:
        return text
    return f"{float(text):,.0f}" if abs(value) >= 1 else f"{float(text):.6f}".rstrip("0").rstrip(".")


class Figure(Doc):
    """One figure with its interval and how it was obtained."""

    name: str
    value: float
    low: float | None = None
    high: float | None = None
    error_sd: float | None = None
    unit: str = ""
    n: int = 1
    how: str = ""

    @property
    def says(self) -> str:
        """`weight loss 18.2 % (17.9 to 18.5)`."""
        spread = "; one piece, so it speaks for that piece" if self.low is None or self.high is None else f" ({self.range})"
        return f"{self.name} {rounded(self.value)}{' ' + self.unit if self.unit else ''}{spread}"

    @property
    def range(self) -> str:
        """`17.9 to 18.5`; empty where one piece can't tell."""
        return "" if self.low is None or self.high is None else f"{rounded(self.low)} to {rounded(self.high)}"


class ReadingReport(Doc):
    """What one file or weighing gave."""

    kind: str
    figures: tuple[Figure, ...]
    warnings: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    comparable: bool = True


def figure_of(r: Reading) -> Figure:
    """A reading of the science rooms as a figure of a report, its name in words."""

    def finite(x: float) -> float | None:
        return float(x) if math.isfinite(x) else None

    words = r.name.split("_")
    shown = words[:-1] if words[-1] in UNIT_WORDS and r.unit and "per" not in words else words
    return Figure(name=" ".join(shown), value=float(r.value), low=finite(r.low), high=finite(r.high), error_sd=finite(r.error_sd),
                  unit=r.unit, n=r.n, how=r.how)
