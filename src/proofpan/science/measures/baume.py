"""Degrees Baumé of a syrup or a brine: a hydrometer's reading, so a density, and by it the sugar or the salt.

Density over water's = 145 / (145 − °Bé) (NBS, modulus 145, 60 °F; elsewhere the rational modulus 144.3 at 15 °C, from memory): both ends are kept.
The density is turned into grams by solution_densities.csv, at 20 °C.
"""

import re
from collections.abc import Callable

from proofpan.science.measures.errors import QuantityError
from proofpan.science.measures.intervals import Interval, shown
from proofpan.science.measures.solutions import sodium_chloride_solution_density_g_per_ml, sucrose_solution_density_g_per_ml

MODULI = (145.0, 144.3)
WATER_G_PER_ML = 0.99823      # 20 °C
_SIGN = r"(?:°\s*|º\s*|deg(?:rees?)?\s*)?(?:B[ée]\b|Baum[ée]\b)"
_GIVEN = re.compile(
    rf"^(?:an?\s+)?(?P<before>[^\d]*?)\s*(?:(?:of|at)\s+)?(?P<low>\d+(?:[.,]\d+)?)(?:\s*(?:–|-|to)\s*(?P<high>\d+(?:[.,]\d+)?))?"
    rf"\s*{_SIGN}\s*(?P<after>.*)$", re.IGNORECASE)
_SYRUP, _BRINE = re.compile(r"\b(?:syrup|sugar|sucrose|sorbet)\b", re.IGNORECASE), re.compile(r"\b(?:brine|salt|pickle|pickling)\b", re.IGNORECASE)


def given_baume(text: str) -> tuple[str, Interval, str] | None:
    """(sugar or salt, grams of it in 100 g of the solution, a step) of a text such as "20 °Bé brine"; None where it says no degrees Baumé.

    Raises:
        QuantityError: when what it is isn't said, or the degrees can't be.
    """
    found = _GIVEN.match(text.strip())
    if found is None:
        return None
    low, high = (float((found[k] or found["low"]).replace(",", ".")) for k in ("low", "high"))
    of = f"{found['before']} {found['after']}"
    syrup, brine = _SYRUP.search(of) is not None, _BRINE.search(of) is not None
    if syrup == brine:
        raise QuantityError(f'"{text.strip()[:40]}" is a hydrometer\'s reading and doesn\'t say of what: it would be such as 20 °Bé syrup, or 20 °Bé brine.')
    of_what, density, most = (("sugar", sucrose_solution_density_g_per_ml, 85.0) if syrup
                              else ("salt", sodium_chloride_solution_density_g_per_ml, 26.0))
    if not 0 <= low <= high or high >= min(MODULI) or _heavier(high, max(MODULI)) > density(most):
        raise QuantityError(f'"{text.strip()[:40]}" is more than a {"syrup" if syrup else "brine"} can be; degrees Baumé run up from 0, the lower first.')
    ends = [_share(_heavier(b, m), density, most) for b in (low, high) for m in MODULI]
    share = Interval((_share(_heavier((low + high) / 2, MODULI[0]), density, most)), min(ends), max(ends))
    said = f"{low:g}" if low == high else f"{low:g}–{high:g}"
    step = f"{said} °Bé: 145 ÷ (145 − °Bé) times as heavy as water, so {shown(share)} g {of_what} in 100 g of it (20 °C)"
    return of_what, share, step


def _heavier(degrees: float, modulus: float) -> float:
    return WATER_G_PER_ML * modulus / (modulus - degrees)


def _share(g_per_ml: float, density: Callable[[float], float], most: float) -> float:
    """Grams in 100 g at which the solution weighs so much; by halving, since density rises with them."""
    low, high = 0.0, most
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (middle, high) if density(middle) < g_per_ml else (low, middle)
    return (low + high) / 2
