"""What must be declared: the EU's fourteen, the US's nine, and which of them a food as named brings."""

from collections.abc import Iterable, Mapping
from typing import Any

from proofpan.science.foods.food import Food, FoodError
from proofpan.science.foods.lookup import _index, look_up
from proofpan.science.foods.words import QUALIFIERS, tokens

EU_14 = (
    "celery",
    "cereals containing gluten",
    "crustaceans",
    "eggs",
    "fish",
    "lupin",
    "milk",
    "molluscs",
    "mustard",
    "nuts",
    "peanuts",
    "sesame",
    "soybeans",
    "sulphur dioxide and sulphites",
)
US_9 = ("crustacean shellfish", "eggs", "fish", "milk", "peanuts", "sesame", "soybeans", "tree nuts", "wheat")
SULPHITES_MG_PER_KG = 10
"""Declared above this, as SO2 in mg per kg or litre: Regulation (EU) No 1169/2011, Annex II point 12."""

_REGIMES = {"EU": EU_14, "UK": EU_14, "US": US_9}

# words of a name that bring an allergen though the name is no pantry food: (EU, US)
_TELLING = {
    "wheat": ("cereals containing gluten", "wheat"),
    "gluten": ("cereals containing gluten", "wheat"),
    "barley": ("cereals containing gluten", None),
    "rye": ("cereals containing gluten", None),
    "oat": ("cereals containing gluten", None),
    "malt": ("cereals containing gluten", None),
    "spelt": ("cereals containing gluten", "wheat"),
    "kamut": ("cereals containing gluten", "wheat"),
    "khorasan": ("cereals containing gluten", "wheat"),
    "triticale": ("cereals containing gluten", "wheat"),
    "milk": ("milk", "milk"),
    "whey": ("milk", "milk"),
    "casein": ("milk", "milk"),
    "lactose": ("milk", "milk"),
    "butter": ("milk", "milk"),
    "cream": ("milk", "milk"),
    "cheese": ("milk", "milk"),
    "yogurt": ("milk", "milk"),
    "egg": ("eggs", "eggs"),
    "albumen": ("eggs", "eggs"),
    "fish": ("fish", "fish"),
    "anchovy": ("fish", "fish"),
    "prawn": ("crustaceans", "crustacean shellfish"),
    "shrimp": ("crustaceans", "crustacean shellfish"),
    "krill": ("crustaceans", "crustacean shellfish"),
    "langoustine": ("crustaceans", "crustacean shellfish"),
    "crayfish": ("crustaceans", "crustacean shellfish"),
    "peanut": ("peanuts", "peanuts"),
    "groundnut": ("peanuts", "peanuts"),
    "soy": ("soybeans", "soybeans"),
    "soya": ("soybeans", "soybeans"),
    "soybean": ("soybeans", "soybeans"),
    "almond": ("nuts", "tree nuts"),
    "hazelnut": ("nuts", "tree nuts"),
    "walnut": ("nuts", "tree nuts"),
    "cashew": ("nuts", "tree nuts"),
    "pecan": ("nuts", "tree nuts"),
    "pistachio": ("nuts", "tree nuts"),
    "macadamia": ("nuts", "tree nuts"),
    "praline": ("nuts", "tree nuts"),
    "sesame": ("sesame", "sesame"),
    "tahini": ("sesame", "sesame"),
    "celery": ("celery", None),
    "mustard": ("mustard", None),
    "lupin": ("lupin", None),
    "sulfured": ("sulphur dioxide and sulphites", None),
    "sulphite": ("sulphur dioxide and sulphites", None),
    "sulfite": ("sulphur dioxide and sulphites", None),
}
_GLUTEN = frozenset({"cereals containing gluten", "wheat"})
_OTHER_GLUTEN = frozenset({"oat", "rye", "barley", "spelt", "malt"})
# "X-free" takes away, and a plant's milk or butter brings no dairy
_FREE_OF = {
    "wheat": _GLUTEN,
    "gluten": _GLUTEN,
    "dairy": frozenset({"milk"}),
    "milk": frozenset({"milk"}),
    "egg": frozenset({"eggs"}),
    "nut": frozenset({"nuts", "tree nuts"}),
    "soy": frozenset({"soybeans"}),
    "soya": frozenset({"soybeans"}),
}
_NOT_DAIRY_BEFORE = frozenset(
    {"peanut", "almond", "cocoa", "cashew", "coconut", "nut", "soy", "soya", "oat", "rice", "apple", "shea", "hazelnut"}
)
_DAIRY_WORDS = frozenset({"butter", "milk", "cream", "cheese", "yogurt"})


def allergen_list(regime: str) -> tuple[str, ...]:
    """The allergens that a regime lists, by short name.

    Parameters: regime, "EU" (also for UK) or "US".
    Raises: FoodError for another regime.
    Source: Regulation (EU) No 1169/2011, Annex II; US FALCPA (2004) and FASTER Act (2021).
    """
    return _listed(regime)


def _listed(regime: str) -> tuple[str, ...]:
    try:
        return _REGIMES[regime.strip().upper()]
    except KeyError:
        raise FoodError(f'"{regime}" is not an allergen regime known here: use EU or US.') from None


def allergens_of(
    name: str | Food, regime: str, country: str | None = None, *, extra: Mapping[str, Any] | None = None
) -> tuple[str, ...] | None:
    """What one food as named brings under a regime; None where nothing at all is known of the name.

    A name that isn't a pantry food is read for the foods and telling words in it ("almond biscuits"), since a missed
    allergen is worse than one too many. "Wheat-free" and the like take away what they name. A maker's recipe may
    differ: the label of what is in hand decides.
    """
    listed = _listed(regime)
    which = 0 if listed is EU_14 else 1
    food = look_up(name, country, extra=extra)
    if food is not None:
        found = set(food.allergens_eu if which == 0 else food.allergens_us)
        known = True
    else:
        found, known = _read_from_words(tokens(str(name)), which, country)
    found -= _taken_away(tokens(name if isinstance(name, str) else name.name))
    return tuple(a for a in listed if a in found) if known else None


def _taken_away(words: tuple[str, ...]) -> set[str]:
    gone: set[str] = set()
    for before, word in zip(words, words[1:], strict=False):
        if word == "free":
            gone |= _FREE_OF.get(before, frozenset())
    if gone >= _GLUTEN and _OTHER_GLUTEN & set(words):  # oats are declared though free of gluten, rye though free of wheat
        gone.discard("cereals containing gluten")
    if "unsulphured" in words or "unsulfured" in words:
        gone.add("sulphur dioxide and sulphites")
    return gone


def _of_another_plant(before: str, word: str) -> bool:
    """Whether a word is said of a plant: oat milk is no dairy, banana flour no wheat."""
    if word in _DAIRY_WORDS:
        return before in _NOT_DAIRY_BEFORE
    return word == "flour" and before not in QUALIFIERS and before not in ("white", "fine", "strong")


def _read_from_words(words: tuple[str, ...], which: int, country: str | None) -> tuple[set[str], bool]:
    from proofpan.science.foods.food import country_code, pantry

    index, code = _index(), country_code(country)
    found: set[str] = set()
    known, i = False, 0
    while i < len(words):
        for j in range(min(len(words), i + index.longest), i, -1):
            senses = index.senses.get(words[i:j])
            if senses is None:
                continue
            key = index.key(words[i:j], code)
            for food in (pantry()[k] for k in ([key] if key else senses.values())):
                if not (j - i == 1 and i > 0 and _of_another_plant(words[i - 1], words[i])):
                    found.update(food.allergens_eu if which == 0 else food.allergens_us)
            known, i = True, j
            break
        else:
            i += 1
    for at, word in enumerate(words):
        telling = _TELLING.get(word, (None, None))[which]
        if telling and not (at > 0 and _of_another_plant(words[at - 1], word)):
            found.add(telling)
            known = True
    return found, known


def allergens(
    names: Iterable[str | Food], regime: str, country: str | None = None, *, extra: Mapping[str, Any] | None = None
) -> tuple[str, ...]:
    """What a list of foods must declare together, in the regime's order.

    Parameters: names, foods or names as in `look_up`; regime, "EU" or "US".
    Raises: FoodError for an unknown regime or country.
    """
    found: set[str] = set()
    for name in [names] if isinstance(names, (str, Food)) else names:
        found.update(allergens_of(name, regime, country, extra=extra) or ())
    return tuple(a for a in _listed(regime) if a in found)
