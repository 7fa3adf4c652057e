"""Where an amount usually lies: leavening per flour, salt in water, agar in a liquid, and so on.

Sources: the `source` column of usual_ranges.csv; most are common practice.
"""

import re
from dataclasses import dataclass
from functools import cache

from proofpan.science.measures.definitions import rows
from proofpan.science.measures.densities import substance

_BASES = {
    "flour": r"\b(?:flour|flours|dough|semolina)\b",
    "water": r"\b(?:water|brine|cooking liquid)\b",
    "liquid": r"\b(?:water|liquid|milk|juice|stock|broth|cream|wine|pur[eé]e|coffee|tea|syrup)\b",
    "meat": r"\b(?:meat|chicken|pork|beef|lamb|thighs|steak|fish|turkey|belly)\b",
    "cabbage": r"\b(?:cabbage|vegetables|carrots|kraut|cucumbers)\b",
    "fruit": r"\b(?:fruit|berries|plums|apples|strawberries|apricots|quinces?)\b",
}


@dataclass(frozen=True, slots=True)
class UsualRange:
    """What is usual: low to high in `unit` ("g/L" or "g per 100 g"), of what, and its source."""

    low: float
    high: float
    unit: str
    what: str
    source: str


@cache
def _table() -> tuple[dict[str, str], ...]:
    return tuple(rows("usual_ranges.csv"))


def usual_range(solute: str, base: str, words: str, per_volume: bool) -> UsualRange | None:
    """The usual range for a substance in a base, or None where none is known.

    Args:
        solute: the name of what is added ("agar powder").
        base: the name of what it is added to ("water"); for a bare volume, "".
        words: the whole text, whose words may tell a use apart (pasta, brine).
        per_volume: whether it is per volume (g/L) or per weight (g per 100 g).
    """
    found = substance(solute)
    name = found.name if found else solute.lower()
    said = set(re.findall(r"[a-zé]+", words.lower()))
    general = None
    for row in _table():
        if row["solute"] != name or (row["unit"] == "g/L") != per_volume:
            continue
        fits = re.search(_BASES[row["base"]], base.lower()) or (not base and per_volume and row["base"] in ("water", "liquid"))
        if not fits:
            continue
        range_ = UsualRange(float(row["low"]), float(row["high"]), row["unit"], row["what"], row["source"])
        if row["words"]:
            if said & set(row["words"].split()):
                return range_
        elif general is None:
            general = range_
    return general
