"""Words of food names made comparable: case, accents, plurals, spellings and what a cook says of the state."""

import re
import unicodedata
from functools import lru_cache

from proofpan.science.foods.food import table


def _kind(kind: str) -> frozenset[str]:
    return frozenset(row["word"] for row in table("words.csv") if row["kind"] == kind)


_NOT_WORD = re.compile(r"[^\w%&']+")
_TEMPERATURE = re.compile(r"\b\d+(?:\.\d+)?\s*°\s*[cf]\b", re.IGNORECASE)
_PERCENT = re.compile(r"(\d)\s+%")
_FREE_RANGE = re.compile(r"\bfree[- ]range\b")
_BRACKETS = re.compile(r"\(([^()]*)\)")

# one form for spellings that differ between countries and mean the same food everywhere
_SPELLINGS = {
    "yoghurt": "yogurt",
    "yoghourt": "yogurt",
    "flavoured": "flavored",
    "unflavoured": "unflavored",
    "flavouring": "flavoring",
    "sulphured": "sulfured",
    "aluminium": "aluminum",
    "fibre": "fiber",
    "fullfat": "full fat",
    "wholemilk": "whole milk",
    "chile": "chilli",
    "chillies": "chilli",
    "chilies": "chili",
    "raising": "rising",
    "wholewheat": "whole wheat",
    "wholegrain": "whole grain",
    "wholemeal": "wholemeal",
    "allpurpose": "all purpose",
    "tinned": "canned",
    "pitted": "",
    "doughs": "dough",
    "dough's": "dough",
}
# the other spellings of a word, so that a slip in one of them is as near as a slip in ours
ALSO_SPELT: dict[str, tuple[str, ...]] = {}
for _other, _ours in _SPELLINGS.items():
    if _ours and " " not in _ours:
        ALSO_SPELT[_ours] = (*ALSO_SPELT.get(_ours, ()), _other)
_IRREGULAR = {
    "leaves": "leaf",
    "loaves": "loaf",
    "halves": "half",
    "calves": "calf",
    "potatoes": "potato",
    "tomatoes": "tomato",
    "mangoes": "mango",
    "radishes": "radish",
    "peaches": "peach",
    "squashes": "squash",
    "dishes": "dish",
    "anchovies": "anchovy",
    "cherries": "cherry",
    "cookies": "cookie",
    "zucchinis": "zucchini",
    "olives": "olive",
    "chives": "chive",
    "cloves": "clove",
    "endives": "endive",
    "pies": "pie",
    "sandwiches": "sandwich",
    "bunches": "bunch",
    "batches": "batch",
    "boxes": "box",
    "glasses": "glass",
}
_NOT_PLURAL = _kind("same in plural")

# what a cook says of a food's state, that leaves it the same food; dried, cooked, canned and smoked are others
QUALIFIERS = _kind("qualifier")

# English words a letter away from a food: said on purpose, so never mended
NO_SLIP = _kind("no slip")

# words that mean different foods in different countries: not guessed without one
TWO_MEANINGS = frozenset(tuple(phrase.split()) for phrase in _kind("two meanings"))

# said of a food that is never sold otherwise, these change nothing; said of another, they do ("dried apricots")
ALWAYS_SO = {
    "dry": frozenset({"grain", "pasta", "legume", "thickener", "leavening", "starch", "flour", "spice", "bread"}),
    "dried": frozenset({"grain", "pasta", "legume", "thickener", "leavening", "starch", "flour", "spice", "dried fruit"}),
    "ground": frozenset({"spice"}),
    "brewed": frozenset({"drink"}),
}

# a name before one of these is part of another food's name ("corn chips")
MAKES_ANOTHER = _kind("makes another food")


def singular(word: str) -> str:
    """The singular of an English food word ("tomatoes" → "tomato"), itself when it is none."""
    if word in _IRREGULAR:
        return _IRREGULAR[word]
    if len(word) <= 3 or word in _NOT_PLURAL or not word.endswith("s") or word.endswith(("ss", "us", "is")):
        return word
    if word.endswith("ies") and len(word) > 4:
        return word[:-3] + "y"
    if word.endswith(("ches", "shes", "sses", "xes")):
        return word[:-2]
    return word[:-1]


def plural(word: str) -> str:
    """The plural of an English food word."""
    for many, one in _IRREGULAR.items():
        if one == word and word not in ("zucchini",):
            return many
    if word in ("zucchini", "squid", "garlic", "okra", "fennel", "celeriac", "celery", "ginger", "broccoli", "kale"):
        return word
    if word.endswith(("ch", "sh", "x", "ss")):
        return word + "es"
    if word.endswith("y") and word[-2:-1] not in "aeiou":
        return word[:-1] + "ies"
    return word if word.endswith("s") else word + "s"


def plain(text: str) -> str:
    """Lower case, without accents, typographic quotes made straight."""
    folded = unicodedata.normalize("NFKD", text.replace("’", "'").replace("‘", "'"))
    return "".join(c for c in folded if not unicodedata.combining(c)).casefold()


@lru_cache(maxsize=20_000)
def tokens(text: str) -> tuple[str, ...]:
    """The comparable words of a name, in order: plain, singular, one spelling, no punctuation or temperatures."""
    found: list[str] = []
    said = _FREE_RANGE.sub(" ", _PERCENT.sub(r"\1%", _TEMPERATURE.sub(" ", plain(text))))
    for word in _NOT_WORD.split(said):
        word = word.strip("'_").removesuffix("'s").replace("'", "")
        if not word:
            continue
        word = singular(_SPELLINGS.get(word, word))
        found.extend(_SPELLINGS.get(word, word).split())
    return tuple(found)


def bracket_variants(text: str) -> list[str]:
    """A name with its brackets opened, left out, and alone: "rapeseed (canola) oil" → three readings."""
    inside = _BRACKETS.findall(text)
    if not inside:
        return [text]
    without = _BRACKETS.sub(" ", text)
    return [_BRACKETS.sub(r" \1 ", text), without, *inside]
