"""Densities of sugar syrups and brines at 20 °C, between the rows of published tables.

Sources: the `source` column of solution_densities.csv; monotone cubic between rows (Fritsch & Carlson, 1980).
"""

from functools import cache
from typing import Any

import numpy as np

from proofpan.science.measures.definitions import rows
from proofpan.science.measures.errors import QuantityError


@cache
def _curve(solute: str) -> Any:
    from scipy.interpolate import PchipInterpolator

    table = [(float(r["percent_w_w"]), float(r["density_g_per_ml"])) for r in rows("solution_densities.csv") if r["solute"] == solute]
    x, y = np.array(table).T
    return PchipInterpolator(x, y), float(x[0]), float(x[-1])


def _density(solute: str, percent: float, temperature_c: float) -> float:
    curve, low, high = _curve(solute)
    if not low <= percent <= high:
        raise QuantityError(f"{percent:g} % of {solute} is outside the table: it would be {low:g} to {high:g} %.")
    if abs(temperature_c - 20) > 1e-9:
        raise QuantityError(f"The density table is for 20 °C, not {temperature_c:g} °C.")
    return float(curve(percent))


def sucrose_solution_density_g_per_ml(brix: float, temperature_c: float = 20.0) -> float:
    """Density of a sucrose solution at 20 °C.

    Args:
        brix: grams of sucrose in 100 g of solution, 0 to 85.
        temperature_c: 20 only.

    Raises:
        QuantityError: outside the table.

    Source: NBS Circular 440 (1942), table 114.
    """
    return _density("sucrose", brix, temperature_c)


def sodium_chloride_solution_density_g_per_ml(percent_of_solution: float, temperature_c: float = 20.0) -> float:
    """Density of a sodium chloride solution at 20 °C.

    Args:
        percent_of_solution: grams of salt in 100 g of solution, 0 to 26.
        temperature_c: 20 only.

    Raises:
        QuantityError: outside the table.

    Source: CRC Handbook of Chemistry and Physics, concentrative properties of aqueous solutions.
    """
    return _density("sodium chloride", percent_of_solution, temperature_c)
