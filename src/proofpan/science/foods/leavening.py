"""Soda and acids: how much neutralises how much, what is left over, and how alkaline soda makes water."""

import math

from proofpan.science.foods.food import FoodError, table
from proofpan.science.foods.words import tokens

# g/mol: IUPAC standard atomic weights
SODIUM_BICARBONATE_G_PER_MOL = 84.007
SODIUM_CARBONATE_G_PER_MOL = 105.988
CARBON_DIOXIDE_G_PER_MOL = 44.0095


def _at_least_0(**named: float) -> None:
    for name, value in named.items():
        if not 0 <= value < math.inf:
            raise FoodError(f"{name} can't be {value}: give a number of at least 0.")


def neutralising_value(acid: str) -> float:
    """Grams of sodium bicarbonate that 100 g of a leavening acid neutralise.

    Parameters: acid, by its trade name, with or without its initials.
    Raises: FoodError naming the acids known.
    Source: leavening_acids.csv: the baking trade's table for phosphates and sulfates, stoichiometry for organic acids.
    """
    rows = table("leavening_acids.csv")
    wanted = set(tokens(acid))
    best: list[tuple[int, int, dict[str, str]]] = []
    for row in rows:
        for name in (row["acid"], *row["also"].split("|")):
            known = set(tokens(name))
            if known == wanted:
                return float(row["neutralising_value"])
            if known and (known <= wanted or wanted <= known):
                best.append((len(known & wanted), -len(known ^ wanted), row))
    if best:
        most = max(best, key=lambda b: b[:2])[:2]
        values = {float(row["neutralising_value"]) for *rank, row in best if tuple(rank) == most}
        if len(values) == 1:
            return values.pop()
    raise FoodError(f'"{acid}" is not a leavening acid known here: {"; ".join(row["acid"] for row in rows)}.')


def stoichiometric_value(molar_mass_g: float, equivalents: float) -> float:
    """Grams of sodium bicarbonate that 100 g of an acid neutralise when all its acid hydrogens react.

    Parameters: molar_mass_g, g/mol; equivalents, acid hydrogens a molecule.
    """
    if not molar_mass_g > 0:
        raise FoodError(f"molar_mass_g can't be {molar_mass_g}: give a number above 0.")
    return 100 * SODIUM_BICARBONATE_G_PER_MOL * equivalents / molar_mass_g


def soda_neutralised_g(mass_g: float, acid_percent: float, acid_molar_mass_g: float, acid_equivalents: float) -> float:
    """Grams of sodium bicarbonate that an acid food neutralises.

    Parameters: mass_g of the food; acid_percent, 0–100 of that mass; the acid's molar mass (g/mol) and equivalents.
    Source: stoichiometry, NaHCO3 84.007 g/mol.
    """
    _at_least_0(mass_g=mass_g, acid_percent=acid_percent)
    return mass_g * acid_percent / 100 * stoichiometric_value(acid_molar_mass_g, acid_equivalents) / 100


def leftover_soda_g(soda_g: float, acid_g: float, neutralising_value: float) -> tuple[float, float, float]:
    """What happens to soda beside an acid.

    Parameters: soda_g and acid_g, grams; neutralising_value, grams of soda that 100 g of the acid neutralise.
    Returns: (neutralised_g, leftover_g, carbon_dioxide_g), none negative; carbon dioxide of the acid reaction only.
    """
    _at_least_0(soda_g=soda_g, acid_g=acid_g, neutralising_value=neutralising_value)
    neutralised = min(soda_g, acid_g * neutralising_value / 100)
    gas = neutralised * CARBON_DIOXIDE_G_PER_MOL / SODIUM_BICARBONATE_G_PER_MOL
    return neutralised, soda_g - neutralised, gas


def _constants(temperature_c: float) -> tuple[float, float, float]:
    """K1, K2 of carbonic acid and Kw. Plummer & Busenberg 1982 (0–90 °C); Kw Harned & Owen 1958, from memory."""
    if not 0 <= temperature_c <= 100:
        raise FoodError(f"{temperature_c} °C is outside the 0 to 100 °C that the carbonate constants cover.")
    t = temperature_c + 273.15
    log_t = math.log10(t)
    k1 = -356.3094 - 0.06091964 * t + 21834.37 / t + 126.8339 * log_t - 1684915 / t**2
    k2 = -107.8871 - 0.03252849 * t + 5151.79 / t + 38.92561 * log_t - 563713.9 / t**2
    kw = 6.0875 - 4470.99 / t - 0.01706 * t
    return 10**k1, 10**k2, 10**kw


def carbonate_ph(sodium_bicarbonate_g_per_l: float, sodium_carbonate_g_per_l: float = 0.0, temperature_c: float = 25.0) -> float:
    """The pH of soda, washing soda or both in pure water, with no carbon dioxide lost or gained.

    Charge balance [Na+] + [H+] = [HCO3−] + 2[CO3²−] + [OH−] of a closed carbonate system, activities taken as
    concentrations (true within about 0.1 pH for bicarbonate at kitchen strength, 0.25 for carbonate).
    Raises: FoodError for a negative strength or a temperature outside 0–100 °C.
    Source: constants Plummer & Busenberg 1982; at 25 °C pK 6.35 and 10.33 (CRC Handbook).
    """
    _at_least_0(sodium_bicarbonate_g_per_l=sodium_bicarbonate_g_per_l, sodium_carbonate_g_per_l=sodium_carbonate_g_per_l)
    bicarbonate = sodium_bicarbonate_g_per_l / SODIUM_BICARBONATE_G_PER_MOL
    carbonate = sodium_carbonate_g_per_l / SODIUM_CARBONATE_G_PER_MOL
    sodium, carbon = bicarbonate + 2 * carbonate, bicarbonate + carbonate
    k1, k2, kw = _constants(temperature_c)

    def charge(ph: float) -> float:
        h = 10**-ph
        share = h * h + k1 * h + k1 * k2
        return sodium + h - carbon * (k1 * h + 2 * k1 * k2) / share - kw / h

    low, high = 0.0, 14.0
    for _ in range(80):
        middle = (low + high) / 2
        low, high = (middle, high) if charge(middle) > 0 else (low, middle)
    return (low + high) / 2


def bicarbonate_ph(sodium_bicarbonate_g_per_l: float, temperature_c: float = 25.0) -> float:
    """The pH of baking soda in water that keeps its carbon dioxide: about 8.3 at any usual strength.

    An open boil drives carbon dioxide off and raises it: see `boiled_soda_ph`.
    """
    return carbonate_ph(sodium_bicarbonate_g_per_l, 0.0, temperature_c)


def boiled_soda_ph(sodium_bicarbonate_g_per_l: float, share_turned: float = 1.0, temperature_c: float = 25.0) -> float:
    """The pH after an open boil has turned a share (0–1) of the baking soda into washing soda.

    2 NaHCO3 → Na2CO3 + CO2 + H2O; how much turns depends on time, surface and boil, so say it as a range from
    `bicarbonate_ph` to this with share_turned = 1.
    """
    if not 0 <= share_turned <= 1:
        raise FoodError(f"share_turned can't be {share_turned}: give a number from 0 to 1.")
    turned = sodium_bicarbonate_g_per_l * share_turned
    carbonate = turned / SODIUM_BICARBONATE_G_PER_MOL / 2 * SODIUM_CARBONATE_G_PER_MOL
    return carbonate_ph(sodium_bicarbonate_g_per_l - turned, carbonate, temperature_c)
