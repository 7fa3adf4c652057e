"""Degrees Brix of a syrup from what goes in, and back: grams of sucrose in 100 g of solution (ICUMSA).

Sources: mass balance; density of sucrose solutions at 20 °C from solution_densities.csv; honey and other syrups count by what
isn't water in them (the pantry's composition), as a refractometer reads them, near enough.
"""

import re

from proofpan.science.measures.errors import QuantityError
from proofpan.science.measures.intervals import Interval, number, shown
from proofpan.science.measures.solutions import sucrose_solution_density_g_per_ml
from proofpan.science.measures.strengths import Lookup, Strength, as_grams, as_ml, said_of

WANTED = re.compile(r"^(?:°\s*|º\s*|deg(?:rees?)?\s*)?(?:Bx|Brix)$", re.IGNORECASE)
_GIVEN = re.compile(
    r"^(?:about\s+)?(?P<low>\d+(?:[.,]\d+)?)(?:\s*(?:–|-|to)\s*(?P<high>\d+(?:[.,]\d+)?))?\s*(?:°\s*|º\s*|deg(?:rees?)?\s*)?(?:Bx|Brix)\b\s*(?:syrup)?$",
    re.IGNORECASE,
)
_WHOLE = re.compile(r"\b(?:syrup|solution|juice|must|wort|sorbet|mixture)$", re.IGNORECASE)
_OF_SOLUTION = ("%", "% w/w", "% of solution")
MOST = 85.0


def given_brix(text: str) -> Interval | None:
    """The degrees that a text says ("65 °Bx"), or None.

    Raises:
        QuantityError: when they can't be.
    """
    found = _GIVEN.match(text)
    if found is None:
        return None
    low, high = (float((found[k] or found["low"]).replace(",", ".")) for k in ("low", "high"))
    if not 0 <= low <= high <= 100:
        raise QuantityError(f'"{text}" can\'t be: degrees Brix run from 0 to 100, the lower first.')
    return Interval((low + high) / 2, low, high)


def to_brix(strength: Strength, look_up: Lookup | None) -> tuple[Interval, list[str]]:
    """Degrees Brix of sugar in water, or in a syrup, with the steps.

    Raises:
        QuantityError: when it isn't sugar, or what it is in is missing.
    """
    if strength.bottom is None:
        _sugar_in(strength.top.item, strength)
        raise QuantityError(f'"{said_of(strength.top)}" lacks the water that it is dissolved in: it would be such as 1 cup sugar per cup water.')
    share, why = _sugar_in(strength.top.item, strength)
    in_what = strength.bottom.item.strip().lower()
    top, steps, _ = as_grams(strength.top, look_up)
    steps = [*strength.top.steps, *steps, *([why] if why else [])]
    sugar = top.scaled(share)
    if strength.bottom.mass_g is not None and not in_what and strength.percent:
        done = sugar.over(strength.bottom.mass_g).scaled(100)
        return _possible(done, [*steps, "grams of sugar in 100 g of the syrup are its degrees Brix"])
    if _WHOLE.search(in_what):
        return _of_syrup(sugar, strength, steps, look_up)
    if in_what not in ("", "water"):
        raise QuantityError(f'"{strength.bottom.item}" isn\'t water: degrees Brix would be such as 200 g sugar per 100 g water, or per litre of syrup.')
    more: list[str] = []
    if strength.bottom.mass_g is not None:
        water = strength.bottom.mass_g
    else:
        water, more = as_ml(strength.bottom, look_up)
        more.append(f"{shown(water)} mL water weigh {shown(water)} g")
    wet = top.scaled(1 - share)
    done = Interval(_share(sugar.value, water.value + wet.value), _share(sugar.low, water.high + wet.low), _share(sugar.high, water.low + wet.high))
    whole = Interval(sugar.value + water.value + wet.value, sugar.low + water.low + wet.low, sugar.high + water.high + wet.high)
    taken = "" if in_what else ", taken to be in water"
    steps += [*strength.bottom.steps, *more, f"{shown(sugar)} g sugar in {shown(whole)} g syrup{taken} = {shown(done)} °Bx"]
    return _possible(done, steps)


def _share(sugar_g: float, water_g: float) -> float:
    return 100 * sugar_g / (sugar_g + water_g)


def _sugar_in(item: str, strength: Strength) -> tuple[float, str]:
    """(share of it that dissolves as sugar, what was taken for granted)."""
    from proofpan.science.foods import look_up

    if not item:
        raise QuantityError(f"What the {strength.top.shown} is of is missing: name the sugar, such as {strength.top.shown} sugar.")
    food = look_up(item, strength.top.country)
    if food is None or food.category not in ("sugar", "syrup") or food.composition is None:
        raise QuantityError(f'"{item}" isn\'t sugar, honey or syrup: degrees Brix are of sugar dissolved in water.')
    if food.category == "sugar":
        return 1.0, ""
    share = 1 - food.composition.water_g / 100
    return share, f"{item} is {100 * share:.0f} % sugar and other solids, the rest water"


def _of_syrup(sugar: Interval, strength: Strength, steps: list[str], look_up: Lookup | None) -> tuple[Interval, list[str]]:
    assert strength.bottom is not None
    if strength.bottom.mass_g is not None:
        done = sugar.over(strength.bottom.mass_g).scaled(100)
        return _possible(done, [*steps, f"{shown(sugar)} g sugar in {shown(strength.bottom.mass_g)} g syrup = {shown(done)} °Bx"])
    if strength.bottom.volume_ml is None:
        raise QuantityError(f'"{said_of(strength.bottom)}" is a count: its weight is missing, in grams.')
    per_litre = sugar.over(strength.bottom.volume_ml).scaled(1000)
    done = Interval(*(_by_density(g) for g in (per_litre.value, per_litre.low, per_litre.high)))
    weighs = sucrose_solution_density_g_per_ml(done.value)
    said = f"{shown(per_litre)} g/L of a syrup that weighs {number(weighs)} g/mL at 20 °C = {shown(done)} °Bx"
    return _possible(done, [*steps, *strength.bottom.steps, said])


def _by_density(g_per_l: float) -> float:
    """The degrees at which a litre of syrup holds so much sugar; by halving, since density rises with them."""
    low, high = 0.0, MOST
    if g_per_l >= _per_litre(high):
        raise QuantityError(f"{g_per_l:.4g} g/L is more sugar than a syrup holds: it would be below {_per_litre(high):.0f} g/L.")
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (middle, high) if _per_litre(middle) < g_per_l else (low, middle)
    return (low + high) / 2


def _per_litre(degrees: float) -> float:
    return degrees * sucrose_solution_density_g_per_ml(degrees) * 10


def _possible(done: Interval, steps: list[str]) -> tuple[Interval, list[str]]:
    if done.value > 100:
        raise QuantityError(f"{done.value:.4g} g sugar in 100 g of syrup can't be: there is more sugar than syrup.")
    if done.value > 67:                     # sucrose saturates at 67 g in 100 g of solution at 20 °C
        steps = [*steps, "above about 67 °Bx sugar crystallises out at room temperature"]
    return Interval(done.value, done.low, min(done.high, 100.0)), steps


def from_brix(degrees: Interval, wanted: str) -> tuple[Interval, list[str]]:
    """A syrup's degrees in another unit: per cent of the solution, g/L of it, or grams of sugar per 100 g of water.

    Raises:
        QuantityError: for another unit, or degrees outside the table.
    """
    ends = (degrees.value, degrees.low, degrees.high)
    if wanted in _OF_SOLUTION or WANTED.match(wanted):
        return degrees, ["degrees Brix are grams of sugar in 100 g of the syrup"]
    if wanted.replace(" ", "").lower() in ("g/l", "gperl", "gperlitre", "gperliter"):
        done = Interval(*(_per_litre(b) for b in ends))
        weighs = number(sucrose_solution_density_g_per_ml(degrees.value))
        return done, [f"{shown(degrees)} g sugar in 100 g of a syrup that weighs {weighs} g/mL at 20 °C = {shown(done)} g/L of syrup"]
    if re.fullmatch(r"g\s*(?:/|per)\s*(?:100 g|100 ml|100g|100ml)(?: (?:of )?water)?", wanted, re.IGNORECASE):
        if degrees.high >= 100:
            raise QuantityError("100 °Bx is dry sugar: there is no water to say it by.")
        done = Interval(*(100 * b / (100 - b) for b in ends))
        water = Interval(100 - degrees.value, 100 - degrees.high, 100 - degrees.low)
        return done, [f"{shown(degrees)} g sugar with {shown(water)} g water = {shown(done)} g per 100 g water"]
    raise QuantityError(f'Degrees Brix are sugar by weight of syrup, and "{wanted}" isn\'t such a unit: it would be %, g/L or g per 100 g.')
