"""Another tin: how many times the recipe it takes, by base area at equal depth, or by volume where both volumes are known."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass

from proofpan.study.errors import QuantityError, quoted
from proofpan.study.wording import say

_N = r"(\d+(?:[.,]\d+)?)"
_UNIT = r"(cm|mm|inch(?:es)?|in\b|\")"
_SIDES = re.compile(rf"{_N}\s*{_UNIT}?\s*(?:x|×|by)\s*{_N}\s*{_UNIT}?(?:\s*(?:x|×|by)\s*{_N}\s*{_UNIT}?)?", re.I)
_SQUARE = re.compile(rf"{_N}[\s-]*{_UNIT}?[\s-]*square|square[\w\s]*?\b{_N}[\s-]*{_UNIT}", re.I)
_ROUND = re.compile(rf"{_N}[\s-]*{_UNIT}[\s-]*(?:round|springform|loose|cake|tart|pie|flan|sandwich|diameter|across"
                    rf"|(?:frying |saut[eé] )?pan|skillet|tin|dish)"
                    rf"|round[\w\s]*?\b{_N}[\s-]*{_UNIT}", re.I)
_VOLUME = re.compile(rf"{_N}[\s-]*(litres?|liters?|l|ml|quarts?)\b", re.I)
_DEEP = re.compile(rf"{_N}\s*{_UNIT}\s*(?:deep|high)", re.I)
_CM = {"cm": 1.0, "mm": 0.1}
_ML = {"l": 1000.0, "li": 1000.0, "ml": 1.0, "qu": 946.35}
SQUARE_20 = "20 cm square"


@dataclass(frozen=True)
class Tin:
    """A tin as far as its words say: base area, depth, volume."""

    text: str
    pan: dict[str, float | str] | None = None
    volume_ml: float | None = None


def read_tin(text: str) -> Tin:
    """A tin in words: `20 cm square`, `23 x 33 cm`, `9 inch round, 5 cm deep`, `2 litre dish`."""
    depth = _DEEP.search(text)
    deep = {"depth_cm": _cm(depth[1], depth[2])} if depth else {}
    rest = text[: depth.start()] if depth else text
    if m := _SIDES.search(rest):
        unit = m[6] or m[4] or m[2]
        pan: dict[str, float | str] = {"shape": "rectangle", "length_cm": _cm(m[1], m[2] or unit), "width_cm": _cm(m[3], m[4] or unit), **deep}
        if m[5]:
            pan["depth_cm"] = _cm(m[5], unit)
    elif m := _SQUARE.search(rest):
        pan = {"shape": "square", "side_cm": _cm(m[1] or m[3], m[2] or m[4]), **deep}
    elif m := _ROUND.search(rest):
        pan = {"shape": "round", "diameter_cm": _cm(m[1] or m[3], m[2] or m[4]), **deep}
    elif m := _VOLUME.search(rest):
        return Tin(text, None, float(m[1].replace(",", ".")) * _ML[m[2].lower() if m[2].lower() in _ML else m[2].lower()[:2]])
    else:
        return Tin(text)
    return Tin(text, pan)


def _cm(number: str, unit: str | None) -> float:
    return float(number.replace(",", ".")) * _CM.get((unit or "cm").lower(), 2.54)


def tin_factor(now: str | None, wanted: str, steps: Iterable[str]) -> tuple[float, str]:
    """(factor, what was taken for granted): the old tin is the recipe's own, else the first whose size the method names.

    Raises: QuantityError when the wanted tin's size can't be read, or one is known by volume and the other by its base alone.
    """
    from proofpan.science.measures import QuantityError as Unreadable
    from proofpan.science.measures.pans import base_area_cm2, pan_volume_factor

    new = read_tin(wanted)
    if new.pan is None and new.volume_ml is None:
        raise QuantityError(f"{quoted(wanted)} holds no size: write 20 cm square, 23 x 33 cm, 23 cm round or 2 litre dish.")
    named = (t for s in (now or "", *steps) if (t := read_tin(s)).pan is not None or t.volume_ml is not None)
    old = next((t for t in named if (t.pan is None) == (new.pan is None)), None)
    if old is None and (now or new.volume_ml):
        raise QuantityError(f"{quoted(wanted)} can't be set beside {quoted(now or 'no tin')}: give both by their sides, or both by volume.")
    said = "" if old is not None else say("The recipe names no tin; it was taken to fill one of {tin}.", tin=SQUARE_20) + " "
    old = old or read_tin(SQUARE_20)
    if new.volume_ml and old.volume_ml:
        return new.volume_ml / old.volume_ml, said + say("Worked out by volume.")
    assert new.pan is not None and old.pan is not None
    try:
        if "depth_cm" in new.pan and "depth_cm" in old.pan:
            return pan_volume_factor(old.pan, new.pan), said + say("Worked out by volume: both tins filled to the same part of their depth.")
        return base_area_cm2(new.pan) / base_area_cm2(old.pan), said + say("Worked out by the area of the base, for the same depth of batter.")
    except Unreadable as error:
        raise QuantityError(str(error)) from None
