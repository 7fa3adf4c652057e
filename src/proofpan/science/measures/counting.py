"""Tells a count that makes sense ("3 eggs") from an amount whose unit is missing ("250 plain flour") or unknown ("3 glorps salt")."""

import re

from proofpan.science.measures.definitions import vocabulary

# Nobody counts these: a bare number before them lacks its unit.
NEVER_COUNTED = vocabulary("never_counted")
_NEVER_PAIRS = frozenset(
    {
        "baking soda",
        "bicarbonate soda",
        "black pepper",
        "white pepper",
        "ground pepper",
        "cayenne pepper",
        "soy sauce",
        "fish sauce",
    }
)
# Words that may stand before such a noun without being a unit.
_MODIFIERS = vocabulary("naming")
_CUT = re.compile(r"\s+(?:with|in|from|for|or|and)\s+|,|\(")


def missing_unit(item: str) -> tuple[str, str] | None:
    """What is wrong with a bare count of this item, or None when it may be counted.

    Args:
        item: the name after the number, such as "plain flour".

    Returns:
        ("no unit", noun), or ("unknown unit", word) where the first word is no describing word known here.
    """
    words = _CUT.split(item.lower().strip())[0].split()
    if not words:
        return None
    noun = words[-1].strip(".")
    pair = " ".join(words[-2:]).replace(" of ", " ")
    if noun not in NEVER_COUNTED and pair not in _NEVER_PAIRS and not item.lower().startswith("bicarbonate of soda"):
        return None
    if len(words) > 1 and words[0] not in _MODIFIERS and not (len(words) == 2 and pair in _NEVER_PAIRS):
        return "unknown unit", words[0]
    return "no unit", noun
