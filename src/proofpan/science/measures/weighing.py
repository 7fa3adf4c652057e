"""What a scale says and how sure it is; trimming, yields and costs.

Sources: as-purchased (AP) and edible-portion (EP) arithmetic of the trade; JCGM 100:2008 (GUM) 4.2, 5.1.2 and F.2.2.1 for
uncertainty: a reading of resolution d has u = d/√12.
"""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from proofpan.science.measures.errors import QuantityError


@dataclass(frozen=True, slots=True)
class CookingLoss:
    """Loss on cooking with its uncertainty, per cent of the raw mass."""

    loss_percent: float
    yield_percent: float
    standard_uncertainty_percent: float
    expanded_uncertainty_k2_percent: float


@dataclass(frozen=True, slots=True)
class RepeatWeighing:
    """Mean and spread of repeated readings."""

    mean_g: float
    standard_deviation_g: float
    standard_error_g: float


def _above_zero(value: float, what: str) -> float:
    if not value > 0:
        raise QuantityError(f"{what} is {value:g}: it would be above zero.")
    return value


def yield_percent(as_purchased_g: float, edible_portion_g: float) -> tuple[float, float]:
    """EP over AP in per cent, and the trim loss in grams."""
    return 100 * edible_portion_g / _above_zero(as_purchased_g, "As purchased, in grams,"), as_purchased_g - edible_portion_g


def as_purchased_g(edible_portion_g: float, yield_percent: float) -> float:
    """What to buy for an edible portion."""
    return edible_portion_g / _above_zero(yield_percent, "The yield per cent") * 100


def edible_portion_g(as_purchased_g: float, yield_percent: float) -> float:
    """What is left of what was bought."""
    return as_purchased_g * yield_percent / 100


def edible_portion_cost_per_kg(as_purchased_cost_per_kg: float, yield_percent: float) -> float:
    """Cost of a kilogram that is eaten, in the currency given."""
    return as_purchased_cost_per_kg / _above_zero(yield_percent, "The yield per cent") * 100


def portion_cost(items: Iterable[tuple[float, float]], portions: float) -> tuple[float, float]:
    """Batch and portion cost, unrounded.

    Args:
        items: (mass in grams, cost per kg) of each ingredient.
        portions: how many the batch serves.
    """
    batch = sum(mass_g * cost / 1000 for mass_g, cost in items)
    return batch, batch / _above_zero(portions, "The number of portions")


def conversion_factor(old_yield: float, new_yield: float) -> float:
    """New yield over old: what every amount is multiplied by."""
    return new_yield / _above_zero(old_yield, "The old yield")


def cooking_loss_percent(raw_g: float, cooked_g: float, resolution_g: float) -> CookingLoss:
    """Loss = (raw − cooked)/raw; both readings rectangular and independent, so u² = (d/√12)²·(1/raw² + cooked²/raw⁴)."""
    raw = _above_zero(raw_g, "The raw weight in grams")
    u = resolution_g / math.sqrt(12)
    spread = 100 * u * math.hypot(1 / raw, cooked_g / raw**2)
    return CookingLoss(100 * (raw - cooked_g) / raw, 100 * cooked_g / raw, spread, 2 * spread)


def net_weight_g(gross_g: float, tare_g: float, resolution_g: float) -> tuple[float, float]:
    """Gross less tare, and its standard uncertainty d/√6."""
    return gross_g - tare_g, resolution_g / math.sqrt(6)


def repeat_weighing(readings_g: Sequence[float]) -> RepeatWeighing:
    """Mean, standard deviation (n − 1) and standard error of repeated readings.

    Raises:
        QuantityError: for fewer than two.
    """
    n = len(readings_g)
    if n < 2:
        raise QuantityError(f"A spread needs at least two readings, not {n}.")
    mean = math.fsum(readings_g) / n
    deviation = math.sqrt(math.fsum((r - mean) ** 2 for r in readings_g) / (n - 1))
    return RepeatWeighing(mean, deviation, deviation / math.sqrt(n))


def scale_is_fine_enough(mass_g: float, resolution_g: float, wanted_relative_half_width: float) -> tuple[float, bool]:
    """Half a division over the mass, and whether that is at most what is wanted."""
    relative = resolution_g / 2 / _above_zero(mass_g, "The mass in grams")
    return relative, relative <= wanted_relative_half_width * (1 + 1e-12)
