"""Spoons and cups that exist: the plainest of them within a bound of a volume, or the nearest with its error."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from proofpan.study.lines import fraction_text
from proofpan.study.wording import say

PACKING = "A spoon or cup of a powder weighs about 12 % more or less by how it is packed (common practice, no source): the grams lead."
FAR, SMALLEST = 0.25, "⅛ tsp"      # beyond this nobody fills the smallest spoon by eye (common practice, no source)
_TSP = (0.125, 0.25, 0.5, 0.75, 1, 1.25, 1.5, 1.75, 2, 2.25, 2.5)
_TBSP = (0.5, 1, 1.5, 2, 2.5, 3, 3.5, 4, 5)
_CUPS = tuple(sorted({q / 4 for q in range(1, 49)} | {k / 3 for k in range(1, 37)}))


@dataclass(frozen=True)
class Spoons:
    """Spoons or cups in words, the volume they hold, and how many measures one has to fill."""

    text: str
    volume_ml: float
    parts: int


@lru_cache(maxsize=16)
def _choices(country: str | None) -> tuple[Spoons, ...]:
    from proofpan.science.measures.countries import unit_ml

    tsp, tbsp = unit_ml("tsp", country) or 5.0, unit_ml("tbsp", country) or 15.0
    cup = unit_ml("cup", country)
    out = [Spoons(f"{fraction_text(n)} tsp", n * tsp, 1) for n in _TSP]
    out += [Spoons(f"{fraction_text(n)} tbsp", n * tbsp, 1) for n in _TBSP]
    out += [Spoons(f"{a} tbsp + {fraction_text(b)} tsp", a * tbsp + b * tsp, 2) for a in (1, 2, 3, 4)
            for b in (0.5, 1, 1.5, 2)]
    if cup:
        named = [(n, f"{fraction_text(n)} cup{'s' if n > 1 else ''}") for n in _CUPS]
        out += [Spoons(text, n * cup, 1) for n, text in named]
        out += [Spoons(f"{text} + {fraction_text(t)} tbsp", n * cup + t * tbsp, 2) for n, text in named for t in (1, 1.5, 2, 2.5, 3)]
        out += [Spoons(f"{text} + {fraction_text(t)} tsp", n * cup + t * tsp, 2) for n, text in named if n <= 1 for t in (1, 1.5, 2)]
    return tuple(out)


def spoons_for(volume_ml: float, country: str | None, bound: float) -> Spoons | None:
    """The plainest spoons or cups of a country within a relative bound of a volume; none where they can't hold it.

    Fewest measures first; then the one nearest, where it is nearer by more than one per cent.
    """
    fits = [s for s in _choices(country) if abs(s.volume_ml / volume_ml - 1) <= bound + 1e-12]
    return min(fits, key=lambda s: (s.parts, round(abs(s.volume_ml / volume_ml - 1), 2), len(s.text)), default=None)


def nearest_spoons(volume_ml: float, country: str | None) -> tuple[str, float]:
    """(the nearest spoons or cups, their relative error: above zero where they hold more)."""
    best = min(_choices(country), key=lambda s: (round(abs(s.volume_ml / volume_ml - 1), 3), s.parts, len(s.text)))
    return best.text, best.volume_ml / volume_ml - 1


def scant_or_generous(text: str, error: float) -> str:
    """The nearest spoons as a cook fills them: `a scant 5 tbsp, 8 % under level`, `a generous ¾ tsp, 10 % over level`.

    Parameters: error, relative, of level spoons: above zero where they hold more than is meant.
    """
    if abs(error) < 0.005:
        return text
    share = abs(1 / (1 + error) - 1) * 100
    if error > FAR and text == SMALLEST:
        return say("less than {spoons}", spoons=text)
    if error > 0:
        return say("a scant {spoons}, {share:.0f} % under level", spoons=text, share=share)
    return say("a generous {spoons}, {share:.0f} % over level", spoons=text, share=share)


def said_error(error: float) -> str:
    """`4 % more`, `7 % less`; nothing below half a per cent."""
    return "" if abs(error) < 0.005 else (
        say("{share:.0f} % more", share=100 * error) if error > 0 else say("{share:.0f} % less", share=-100 * error))
