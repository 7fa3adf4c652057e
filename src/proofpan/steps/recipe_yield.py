"""Setting one yield beside another: 60 crackers over 30, 1.2 kg over 600 g."""

from __future__ import annotations

from proofpan.study.errors import QuantityError, quoted
from proofpan.study.lines import measures_in

MASS = {"g": 1.0, "kg": 1000.0, "ml": 1.0, "l": 1000.0}


def yield_factor(now: str | None, wanted: str) -> float:
    """New yield over old; grams and kilograms, millilitres and litres meet; a weight and a count don't."""
    old, new = (measures_in(text or "") for text in (now, wanted))
    if not now or not old or not new:
        raise QuantityError(f"{quoted(wanted)} and {quoted(now or 'no yield')} can't be compared: give numbers of one thing.")
    a, b = old[0], new[0]
    sizes = [MASS.get(m.unit) for m in (a, b)]
    volume = [m.unit in ("ml", "l") for m in (a, b)]
    if (sizes[0] is None) != (sizes[1] is None) or (sizes[0] is not None and volume[0] != volume[1]):
        raise QuantityError(f"{quoted(wanted)} and {quoted(now)} can't be compared: give both as a count, both as a weight or both as a volume.")
    first, second = (m.high * (s or 1.0) for m, s in zip((a, b), sizes, strict=True))
    if first <= 0 or second <= 0:
        raise QuantityError(f"{quoted(wanted)} isn't more than nothing: give a number above zero.")
    return second / first
