"""When is it done: targets by kind, where they come from, and what no sum is made for."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from .components import rows
from .errors import HeatError
from .lethality import equivalent_minutes
from .march import Cooked
from .safety import CAUTION
from .unsuited import refuse_unsuited

TOGETHER = {"tender": ("starch swollen", "potato softened")}  # a starchy root that a knife goes into
# a rate measured in hot water isn't drawn out to a night's soak: starch swells from about here (targets.csv)
SOFTENS_FROM_C = {"potato softened": 60.0, "pectin": 60.0}
_SAFE_TARGETS = ("poultry", "fish", "pork", "minced", "salmonella", "reheated", "beef", "egg")
BROWNING_CAUTION = "Starchy food browned dark holds more acrylamide: gold, not brown (Commission Regulation (EU) 2017/2158)."


@dataclass(frozen=True)
class Target:
    """What must hold for a piece to be done.

    Attributes: name; kind (core: a temperature; equivalent: minutes at a temperature, in the core; surface equivalent: the same at the
        surface; crust: millimetres); least and most of it (most None: no upper end); unit; reference_c and z_c of equivalents;
        words; source; confidence; cautions, always shown.
    """

    name: str
    kind: str
    least: float
    most: float | None
    unit: str
    reference_c: float | None
    z_c: float | None
    words: str
    source: str
    confidence: str
    cautions: tuple[str, ...] = ()

    def course(self, cooked: Cooked) -> NDArray[np.float64]:
        """How far it has come at each of `cooked.times_s`, in the target's unit; shape (n,) or (n, p)."""
        if self.kind == "core":
            return cooked.core_c
        if self.kind == "crust":
            return cooked.crust_m * 1000
        place = cooked.surface_c if self.kind == "surface equivalent" else cooked.core_c
        assert self.reference_c is not None and self.z_c is not None
        if self.name in SOFTENS_FROM_C:
            place = np.where(place < SOFTENS_FROM_C[self.name], -200.0, place)
        sum_ = equivalent_minutes(cooked.times_s, place, self.reference_c, self.z_c)
        return sum_ / SALMONELLA_D60_MINUTES if self.unit == "log10" else sum_


SALMONELLA_D60_MINUTES = 25.2 / 7  # USDA FSIS poultry table, chicken of 1 % fat


@lru_cache(maxsize=1)
def targets() -> dict[str, Target]:
    """Targets by name, from targets.csv; the least is the row's figure where safety rests on it, else its lower end."""
    found = {}
    for r in rows("targets.csv"):
        most = float(r["high"]) if r["high"] and r["kind"] == "core" else None
        cautions = [CAUTION] if r["target"].startswith(_SAFE_TARGETS) else []
        if r["kind"] in ("surface equivalent", "crust"):
            cautions.append(BROWNING_CAUTION)
        least = float(r["low"]) if r["kind"] == "core" else float(r["figure"])
        found[r["target"]] = Target(
            r["target"], r["kind"], least, most, r["unit"], float(r["reference_c"]) if r["reference_c"] else None,
            float(r["z_c"]) if r["z_c"] else None, r["words"], r["source"], r["confidence"], tuple(cautions),
        )
    return found


def core_target(least_c: float, most_c: float | None = None) -> Target:
    """A core temperature of your own.

    Raises: HeatError, for an upper end that isn't above the lower.
    """
    if most_c is not None and not most_c > least_c:
        raise HeatError(f"The upper end of a core temperature ({most_c:g} °C) must be above the lower ({least_c:g} °C).")
    end = "" if most_c is None else f" to {most_c:g}"
    return Target(f"core {least_c:g}{end} °C", "core", least_c, most_c, "°C", None, None, "as asked", "as asked", "as asked", (CAUTION,))


def wanted_targets(names: Iterable[str]) -> tuple[Target, ...]:
    """The targets of names that a cook uses; "tender" is two: starch swollen through, and softened.

    Raises: HeatError, as `target`.
    """
    every = [part for name in names for part in TOGETHER.get(name.strip().lower(), (name,))]
    return tuple(target(name) for name in dict.fromkeys(every))


def target(name: str) -> Target:
    """A target by its name, or a core temperature written as such ("85", "80-90 C").

    Raises: HeatError: "No sum for this; cross-test it" for dishes the model doesn't describe, else naming the targets.
    """
    text = name.strip().lower()
    refuse_unsuited(text)
    if text in targets():
        return targets()[text]
    degrees = re.fullmatch(r"(\d+(?:\.\d+)?)(?:\s*[-–]\s*(\d+(?:\.\d+)?))?\s*(?:°?\s*c)?", text)
    if degrees:
        return core_target(float(degrees[1]), float(degrees[2]) if degrees[2] else None)
    raise HeatError(f'"{name}" is not a target known here: use one of {", ".join((*TOGETHER, *targets()))}, or a core temperature such as 80-85.')


@dataclass(frozen=True, eq=False)
class Window:
    """Minutes in which every target holds, one a piece; not a number where none does. `says` of why not is left to the caller."""

    from_min: NDArray[np.float64]
    to_min: NDArray[np.float64]


def _crossing_min(times_s: NDArray[np.float64], course: NDArray[np.float64], level: float) -> NDArray[np.float64]:
    """First time, minutes, at which each column comes up to a level; infinite where it doesn't."""
    up = course >= level - 1e-9
    first = np.argmax(up, axis=0)
    out = np.full(course.shape[1], np.inf)
    for j in np.flatnonzero(up.any(axis=0)):
        i = int(first[j])
        if i == 0:
            out[j] = times_s[0] / 60
        else:
            a, b = course[i - 1, j], course[i, j]
            out[j] = (times_s[i - 1] + (times_s[i] - times_s[i - 1]) * (level - a) / (b - a)) / 60
    return out


def window(cooked: Cooked, wanted: tuple[Target, ...]) -> Window:
    """From when every target's least is reached to when the first upper end is passed; the end of the sum where none is.

    Straight lines between steps. Raises: HeatError, without a target.
    """
    if not wanted:
        raise HeatError("Name at least one target.")
    lanes = 1 if cooked.core_c.ndim == 1 else cooked.core_c.shape[1]
    start, end = np.zeros(lanes), np.full(lanes, cooked.times_s[-1] / 60)
    for t in wanted:
        course = t.course(cooked).reshape(len(cooked.times_s), lanes)
        start = np.maximum(start, _crossing_min(cooked.times_s, course, t.least))
        if t.most is not None:
            end = np.minimum(end, _crossing_min(cooked.times_s, course, t.most))
    none = ~np.isfinite(start) | (start > end)
    return Window(np.where(none, np.nan, start), np.where(none, np.nan, end))
