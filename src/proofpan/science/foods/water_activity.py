"""How much of a brine's or syrup's water is free: water activity."""

import math

from proofpan.science.foods.food import FoodError

_WATER_KG_PER_MOL = 0.0180153
_SUCROSE_G_PER_MOL = 342.297
_NORRISH_SUCROSE = 6.47
_SATURATED_NACL_MOL_PER_KG = 6.15


def water_activity_nacl(molality_mol_per_kg: float, temperature_c: float = 25.0) -> float:
    """Water activity of salt water.

    Pitzer's equation for the osmotic coefficient of NaCl at 25 °C, ln a = −2 m φ M; between 5 and 50 °C it changes by less
    than 0.002, so the temperature is only checked.
    Parameters: molality_mol_per_kg, mol NaCl per kg water, 0 to saturation (6.15); temperature_c, 5–50.
    Raises: FoodError outside these ranges.
    Source: Pitzer & Mayorga 1973, table I (β0 0.0765, β1 0.2664, Cφ 0.00127); agrees with Robinson & Stokes 1959, app. 8.3.
    """
    m = molality_mol_per_kg
    if not 0 <= m <= _SATURATED_NACL_MOL_PER_KG:
        raise FoodError(f"{m} mol/kg is outside 0 to 6.15 mol salt per kg water, where salt water is saturated.")
    if not 5 <= temperature_c <= 50:
        raise FoodError(f"{temperature_c} °C is outside the 5 to 50 °C that the salt table covers.")
    root = math.sqrt(m)
    osmotic = 1 - 0.3915 * root / (1 + 1.2 * root) + m * (0.0765 + 0.2664 * math.exp(-2 * root)) + 0.00127 * m * m
    return math.exp(-2 * m * osmotic * _WATER_KG_PER_MOL)


def water_activity_sucrose(sucrose_percent: float, temperature_c: float = 25.0) -> float:
    """Water activity of sugar syrup.

    Norrish's equation, a = x_w · exp(−6.47 x_s²), mole fractions of water and sucrose.
    Parameters: sucrose_percent, g per 100 g syrup, 0–67 (saturation at 25 °C); beyond it, supersaturated syrup, to 85.
    temperature_c, 0–50; the equation has none.
    Raises: FoodError outside these ranges.
    Source: Norrish 1966, J. Food Technol. 1, 25; K = 6.47 for sucrose (Chirife, Favetto & Ferro Fontán 1982).
    """
    if not 0 <= sucrose_percent <= 85:
        raise FoodError(f"{sucrose_percent} % sugar is outside the 0 to 85 % of a syrup.")
    if not 0 <= temperature_c <= 50:
        raise FoodError(f"{temperature_c} °C is outside the 0 to 50 °C that the equation covers.")
    sugar = sucrose_percent / _SUCROSE_G_PER_MOL
    water = (100 - sucrose_percent) / (_WATER_KG_PER_MOL * 1000)
    x_sugar = sugar / (sugar + water)
    return (1 - x_sugar) * math.exp(-_NORRISH_SUCROSE * x_sugar**2)
