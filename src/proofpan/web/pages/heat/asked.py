"""What is asked of the heat page, in the kitchen's own measures: everything stands in the address, and is read here."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from proofpan.study.degrees import reads_fahrenheit
from proofpan.study.errors import StudyError
from proofpan.study.study import Study

MOST_LOG = 20_000
WATERY = ("boil", "simmer", "steam")
FREE = ("heat transfer", "oven offset", "size")
INCH_CM = 2.54
_NUMBER = r"(\d+(?:[.,]\d+)?)"


@dataclass(frozen=True)
class Slider:
    """One slider: its name, label, least, most, step and where it stands at first."""

    name: str
    label: str
    least: float
    most: float
    step: float
    at_first: float


METRIC = (
    Slider("size", "Size, cm", 1.0, 12.0, 0.1, 3.5),
    Slider("start", "Starts at, °C", 0.0, 30.0, 1.0, 15.0),
    Slider("oven", "Oven, grill or pan, °C", 120.0, 260.0, 5.0, 200.0),
)
US = (
    Slider("size", "Size, inches", 0.4, 4.8, 0.05, 1.4),
    Slider("start", "Starts at, °F", 32.0, 86.0, 1.0, 60.0),
    Slider("oven", "Oven, grill or pan, °F", 250.0, 500.0, 5.0, 400.0),
)


def measures_of(study: Study, said: str | None) -> str:
    """`US` or `metric`: as the address says, else as the kitchen's style has it."""
    if said in ("US", "metric"):
        return said
    return "US" if reads_fahrenheit(study.brief.kitchen) else "metric"


def celsius(value: float, us: bool) -> float:
    """Degrees as they are typed, in °C."""
    return (value - 32) / 1.8 if us else value


def in_measures(text: str, us: bool) -> str:
    """A sentence with °F and inches in place of °C and centimetres."""
    if not us:
        return text
    text = re.sub(rf"{_NUMBER}(?:([-–]){_NUMBER})? °C", _fahrenheit, text)
    return re.sub(rf"{_NUMBER} cm", lambda m: f"{float(m[1].replace(',', '.')) / INCH_CM:.2g} inch", text)


def _fahrenheit(match: re.Match[str]) -> str:
    ends = [f"{float(x.replace(',', '.')) * 1.8 + 32:.0f}" for x in (match[1], match[3]) if x]
    return "–".join(ends) + " °F"


@dataclass(frozen=True)
class Asked:
    """The page's fields as they stand, and what they mean in cm and °C."""

    us: bool
    texts: dict[str, str]
    values: dict[str, float]
    free: tuple[str, ...]
    stages: tuple[str, ...]
    sizes_cm: tuple[float, ...]
    until: str
    overlay: tuple[tuple[float, float], ...]

    @property
    def last(self) -> str:
        """The kind of the last stage."""
        return self.texts["stage"]


TEXTS = (("food", "potato"), ("what", ""), ("shape", "cube"), ("stage", "boil"), ("until", "tender"), ("log", ""), ("before", ""), ("others", ""), ("own", ""))


def sliders(us: bool) -> tuple[Slider, ...]:
    """The sliders in the kitchen's measures."""
    return US if us else METRIC


def fields_of(given: Mapping[str, str]) -> dict[str, str]:
    """The page's texts, each as it was typed or as it stands at first."""
    return {name: given.get(name, else_).strip()[:MOST_LOG] for name, else_ in TEXTS}


def read(study: Study, given: Mapping[str, str], free: tuple[str, ...] = ()) -> Asked:
    """What is asked.

    Raises: StudyError, naming what can't be read.
    """
    us = measures_of(study, given.get("measures")) == "US"
    texts = fields_of(given)
    values = {s.name: _number(given.get(s.name), s) for s in sliders(us)}
    scale = INCH_CM if us else 1.0
    kind = texts["stage"]
    last = kind if kind in WATERY else f"{kind} {celsius(values['oven'], us):g}"
    before = tuple(_stage(line, us) for line in texts["before"].splitlines() if line.strip())
    return Asked(
        us, texts, values, free, (*before, last), (values["size"] * scale, *(x * scale for x in _others(texts["others"]))),
        _until(texts["until"], us), _log(texts["log"], us),
    )


def setting(study: Study, asked: Asked) -> dict[str, Any]:
    """What the step is asked, with what a log said of this kitchen's oven where there is one of the kind."""
    own = own_oven(study, asked)
    return {
        "food": asked.texts["food"], "shape": asked.texts["shape"], "sizes_cm": asked.sizes_cm, "stages": asked.stages, "until": (asked.until,),
        "what": asked.texts["what"], "start_c": celsius(asked.values["start"], asked.us),
        "heat_transfer_w_m2k": own.heat_transfer_w_m2k if own else None, "oven_offset_c": (own.offset_c or 0.0) if own else 0.0,
    }


def own_oven(study: Study, asked: Asked) -> Any:
    """The kitchen's oven that is meant: the one named, where it is of the kind, else the first that is."""
    fitting = [o for o in study.brief.kitchen.ovens if ("fan oven" if o.kind == "fan" else "oven") == asked.last]
    return next((o for o in fitting if o.name == asked.texts["own"]), fitting[0] if fitting else None)


def _number(text: str | None, slider: Slider) -> float:
    try:
        value = float((text or "").replace(",", ".") or slider.at_first)
    except ValueError:
        raise StudyError(f"“{str(text)[:20]}” isn't a number for {slider.label}.") from None
    if not slider.least <= value <= slider.most:
        raise StudyError(f"{slider.label}: a number from {slider.least:g} to {slider.most:g} is wanted.")
    return value


def _others(text: str) -> tuple[float, ...]:
    try:
        return tuple(float(x.replace(",", ".")) for x in text.replace("×", " ").replace("x", " ").split())
    except ValueError:
        raise StudyError(f"“{text[:30]}” can't be read as further sizes; write numbers with a space between, such as: 4 5.") from None


def _stage(line: str, us: bool) -> str:
    """A stage as it is typed, its degrees in °C."""
    if not us:
        return line.strip()
    return re.sub(rf"^([a-z ]+?)\s+{_NUMBER}\s*(?:°?\s*f)?(?=\s|$)", lambda m: f"{m[1]} {celsius(float(m[2]), True):.1f}", line.strip().lower())


def _until(text: str, us: bool) -> str:
    found = re.fullmatch(rf"{_NUMBER}(?:\s*[-–]\s*{_NUMBER})?", text)
    if found is None or not us:
        return text
    return "-".join(f"{celsius(float(x), True):.1f}" for x in found.groups() if x)


def _log(text: str, us: bool) -> tuple[tuple[float, float], ...]:
    """A probe's log as lines of minutes and degrees, in °C.

    Raises: StudyError, naming the line.
    """
    out = []
    for i, line in enumerate(text.splitlines(), 1):
        cells = line.replace(";", " ").replace(",", " ").split()
        if not cells:
            continue
        try:
            minute, degrees = (float(c) for c in cells[:2])
        except ValueError:
            raise StudyError(f"Line {i} of the log isn't minutes and degrees, such as: 2.5 31.0.") from None
        degrees = celsius(degrees, us)
        if not (0 <= minute <= 1500 and -40 <= degrees <= 400):
            raise StudyError(f"Line {i} of the log is out of reach: minutes from 0, degrees from −40 to 400 °C.")
        out.append((minute, degrees))
    return tuple(out)
