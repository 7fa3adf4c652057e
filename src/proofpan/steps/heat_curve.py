"""One piece in one kitchen: the curve of its core and surface, and when its targets hold."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from proofpan.steps.heat import MODEL_NOTE, called, dish_of, until_words
from proofpan.study.errors import QuantityError

if TYPE_CHECKING:
    from proofpan.science.heat import Dish

LONGEST_MIN = 600.0
COARSE_CELLS = 8
CELLS_BOILED = {1: 40, 2: 20, 3: 14}  # a slider waits for them; minutes are within a twentieth of those of finer cells
CRUST_NOTE = "Dried isn't yet crust: the one measured crust it was held to was a quarter to half as thick."
SHOWN_TOLERANCE_C = 0.01  # for the same reason; the core of a slab that dries is then within 0.4 °C


@dataclass(frozen=True)
class HeatCurve:
    """A piece as it cooks.

    Attributes: says; cautions, always shown; curve, (minutes, core °C, surface °C) from the first stage; begins_min, when the last
        stage begins; window_min, (from, to) from then on, to None where no upper end is passed; levels, core temperatures asked for;
        lost_percent and crust_mm when the targets are reached.
    """

    says: tuple[str, ...]
    cautions: tuple[str, ...]
    curve: tuple[tuple[float, float, float], ...]
    begins_min: float
    window_min: tuple[float, float | None]
    levels: tuple[float, ...]
    lost_percent: float
    crust_mm: float


def _about(dish: Dish, altitude_m: float) -> float:
    """Minutes of the last stage that are enough to show, from a coarse sum that stops as soon as the targets hold."""
    import numpy as np

    from proofpan.science.heat import Cooked, cook, stage, window

    def done(so_far: Cooked) -> bool:
        return bool(np.isfinite(window(so_far, dish.targets).from_min).all())

    last = stage(dish.kind, LONGEST_MIN, dish.temperature_c, altitude_m=altitude_m, heat_transfer_w_m2k=dish.heat_transfer_w_m2k)
    begins = sum(s.minutes for s in dish.before)
    longest_s = max(60.0, begins * 60 / 100)
    coarse = cook(dish.piece, dish.material, [*dish.before, last], dish.start_c, cells=COARSE_CELLS, tolerance_c=0.1, longest_step_s=longest_s, enough=done)
    start = float(window(coarse, dish.targets).from_min[0]) - begins
    return min(LONGEST_MIN, max(1.7 * start, start + 5.0, 5.0)) if np.isfinite(start) else LONGEST_MIN


def heat_curve(
    food: str, shape: str, sizes_cm: Sequence[float], stages: Sequence[str], until: Sequence[str], *, start_c: float = 20.0,
    heat_transfer_w_m2k: float | None = None, oven_offset_c: float = 0.0, what: str = "", altitude_m: float = 0.0,
) -> HeatCurve:
    """Cook once. Parameters as in `heat`; altitude_m, of this kitchen. Raises: QuantityError."""
    import numpy as np

    from proofpan.science.heat import HeatError, cook, stage, window

    dish = dish_of(food, shape, sizes_cm, stages, until, start_c, heat_transfer_w_m2k, oven_offset_c, what, altitude_m)
    begins = sum(s.minutes for s in dish.before)
    try:
        minutes = _about(dish, altitude_m)
        while True:
            last = stage(dish.kind, minutes, dish.temperature_c, altitude_m=altitude_m, heat_transfer_w_m2k=heat_transfer_w_m2k)
            dries = any(s.evaporates for s in (*dish.before, last))
            cooked = cook(dish.piece, dish.material, [*dish.before, last], start_c, tolerance_c=SHOWN_TOLERANCE_C,
                          cells=None if dries else CELLS_BOILED[len(dish.piece.axes)])
            found = window(cooked, dish.targets)
            start, end = float(found.from_min[0]) - begins, float(found.to_min[0]) - begins
            if np.isfinite(start) and (start < 0.7 * minutes or minutes >= LONGEST_MIN):
                break
            if minutes >= LONGEST_MIN:
                raise HeatError(f"After {minutes:g} minutes the targets don't hold: the core is at {cooked.core_c[-1]:.0f} °C. "
                                "The stage isn't hot enough, or an upper end is passed first.")
            minutes = min(LONGEST_MIN, minutes * 3 if not np.isfinite(start) else 1.6 * start)
    except HeatError as error:
        raise QuantityError(str(error)) from None
    start = max(start, 0.0)
    row = int(np.abs(cooked.times_s - (begins + start) * 60).argmin())
    stops = cooked.times_s[-1] / 60 - begins
    upper = None if end >= stops * (1 - 1e-6) else end
    shown = cooked.times_s / 60 <= begins + max(1.6 * start, start + 4)
    lost, crust = 100 * float(cooked.lost_fraction[row]), 1000 * float(cooked.crust_m[row])
    done = f"done from {start:.0f} min" + (f" to {upper:.0f} min." if upper is not None else " on.")
    said = [f"{what or called(shape)} of {sizes_cm[0]:g} cm, {until_words(until)}: {done}"]
    if lost >= 0.5:
        said.append(f"By then it has lost about {lost:.0f} % of its weight as steam" + (f"; {crust:.1f} mm of its outside has dried out. {CRUST_NOTE}"
                    if crust >= 0.05 else "."))
    cautions = dict.fromkeys(c for t in dish.targets for c in t.cautions)
    curve = tuple(zip((cooked.times_s[shown] / 60).round(3).tolist(), cooked.core_c[shown].round(2).tolist(), cooked.surface_c[shown].round(2).tolist(),
                      strict=True))
    levels = tuple(t.least for t in dish.targets if t.kind == "core")
    return HeatCurve(tuple(said), (*cautions, MODEL_NOTE), curve, begins, (start, upper), levels, lost, crust)
