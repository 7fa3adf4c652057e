"""Temperatures, gas marks and fan ovens.

Sources: exact definitions of the degree Fahrenheit and kelvin (NIST SP 811, B.8); UK domestic gas marks: mark 1 is 275 °F and
each mark 25 °F more, with °C rounded to tens (common practice, no source); a fan oven is set 20 °C lower (common practice).
"""

from proofpan.science.measures.errors import QuantityError

ABSOLUTE_ZERO_C = -273.15
FAN_LOWER_C = 20.0
GAS_MARKS = {
    "1/4": (225, 110), "1/2": (250, 120), "1": (275, 140), "2": (300, 150), "3": (325, 160), "4": (350, 180),
    "5": (375, 190), "6": (400, 200), "7": (425, 220), "8": (450, 230), "9": (475, 240), "10": (500, 260),
}  # fmt: skip
_WRITTEN = {"¼": "1/4", "½": "1/2"}
_PER_CELSIUS = {"C": 1.0, "K": 1.0, "F": 1.8}


def _scale(unit: str) -> str:
    name = unit.strip().upper().lstrip("°")
    if name not in _PER_CELSIUS:
        raise QuantityError(f'"{unit}" is no scale of temperature known here: it would be C, F or K.')
    return name


def temperature(value: float, from_unit: str, to_unit: str) -> float:
    """A reading on another scale.

    Args:
        value: the reading.
        from_unit: C, F or K.
        to_unit: C, F or K.

    Raises:
        QuantityError: for another scale, or a reading below absolute zero.
    """
    start, end = _scale(from_unit), _scale(to_unit)
    celsius = {"C": value, "F": (value - 32) / 1.8, "K": value + ABSOLUTE_ZERO_C}[start]
    if celsius < ABSOLUTE_ZERO_C - 1e-9:
        raise QuantityError(f"{value:g} {start} is below absolute zero: it would be above {ABSOLUTE_ZERO_C} °C.")
    return {"C": celsius, "F": celsius * 1.8 + 32, "K": celsius - ABSOLUTE_ZERO_C}[end]


def temperature_difference(value: float, from_unit: str, to_unit: str) -> float:
    """An interval on another scale: 25 °F apart is 13.9 °C apart."""
    return value / _PER_CELSIUS[_scale(from_unit)] * _PER_CELSIUS[_scale(to_unit)]


def gas_mark(mark: str) -> tuple[float, float]:
    """A UK domestic gas mark.

    Args:
        mark: "1/4", "1/2" or "1" to "10".

    Returns:
        temperature_c, temperature_f; each ±5.

    Raises:
        QuantityError: for another mark.
    """
    text = _WRITTEN.get(mark.strip(), mark.strip())
    if text not in GAS_MARKS:
        raise QuantityError(f'"{mark}" is no gas mark: it would be 1/4, 1/2 or 1 to 10.')
    f, c = GAS_MARKS[text]
    return float(c), float(f)


def gas_mark_for_c(temperature_c: float) -> str:
    """The nearest gas mark to a conventional oven's temperature; the lower one when two are as near.

    Raises:
        QuantityError: more than 15 °C beyond the marks.
    """
    coolest, hottest = (pick(c for _, c in GAS_MARKS.values()) for pick in (min, max))
    if not coolest - 15 <= temperature_c <= hottest + 15:
        raise QuantityError(f"{temperature_c:g} °C has no gas mark: they run from {coolest} to {hottest} °C.")
    return min(GAS_MARKS, key=lambda mark: (abs(GAS_MARKS[mark][1] - temperature_c), GAS_MARKS[mark][1]))


def fan_oven_c(conventional_c: float) -> float:
    """The fan setting for a conventional one: 20 °C lower (common practice, no source)."""
    return conventional_c - FAN_LOWER_C


def conventional_oven_c(fan_c: float) -> float:
    """The conventional setting for a fan one: 20 °C higher (common practice, no source)."""
    return fan_c + FAN_LOWER_C
