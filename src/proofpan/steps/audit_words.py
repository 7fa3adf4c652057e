"""How the audit reads a page: which words name an ingredient, and where the method mentions it."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

from proofpan.study.recipe import Ingredient, Recipe, Step

QUALIFIERS = frozenset([
    "fine", "coarse", "plain", "white", "brown", "raw", "ground", "fresh", "freshly", "large", "small", "medium", "unsalted", "salted",
    "cold", "warm", "hot", "boiling", "whole", "light", "dark", "soft", "hard", "dried", "dry", "rolled", "quick", "extra", "virgin",
    "free", "range", "firm", "ripe", "good", "quality", "flaked", "flaky", "table", "sea", "sifted", "chopped", "diced", "sliced",
    "grated", "melted", "softened", "toasted", "roasted", "crushed", "peeled", "beaten", "cooked", "tinned", "canned", "frozen", "of",
    "the", "and", "a", "an", "or", "into", "to", "for", "from", "mixed", "best", "young", "baby", "instant", "active", "caster",
    "granulated", "demerara", "muscovado", "icing", "superfine", "confectioners", "strong", "bread", "self-raising", "self", "raising",
    "all-purpose", "wholemeal", "rapeseed", "sunflower", "olive", "vegetable", "neutral", "full-fat", "semi-skimmed", "skimmed",
    "double", "single", "plus", "more",
])
EVERYTHING = re.compile(
    r"\b(all (of )?(the |the other |remaining )?(other )?(dry |wet )?ingredients|everything|(the )?(remaining|other|rest of the) ingredients"
    r"|dry ingredients|wet ingredients|all the rest)\b", re.I)
IRREGULAR = {"leaves": "leaf", "loaves": "loaf", "halves": "half", "potatoes": "potato", "tomatoes": "tomato", "anchovies": "anchovy"}


def singular(word: str) -> str:
    """A word in the singular, roughly, so that egg and eggs meet."""
    if word in IRREGULAR:
        return IRREGULAR[word]
    if word.endswith("ies") and len(word) > 4:
        return word[:-3] + "y"
    if word.endswith(("ses", "shes", "ches", "xes", "oes")):
        return word[:-2]
    return word[:-1] if word.endswith("s") and not word.endswith(("ss", "us")) and len(word) > 3 else word


def words_of(text: str) -> list[str]:
    """Words in small letters and the singular."""
    return [singular(w) for w in re.findall(r"[a-zà-ÿ]+(?:-[a-zà-ÿ]+)*", text.casefold())]


@dataclass(frozen=True)
class Item:
    """One ingredient with the words that name it."""

    line: Ingredient
    full: tuple[str, ...]
    telling: tuple[str, ...]      # without qualifiers: "fine salt" → salt
    own: tuple[str, ...]          # telling words that no other ingredient bears
    kinds: tuple[str, ...] = ()   # what a step may call it that no other ingredient is: rump steak → beef, meat

    @property
    def name(self) -> str:
        """The item as it stands on the list."""
        return self.line.item


@dataclass(frozen=True)
class Page:
    """A recipe as the audit reads it."""

    recipe: Recipe
    items: tuple[Item, ...]
    step_words: tuple[tuple[str, ...], ...]

    def steps(self) -> Iterator[tuple[int, Step]]:
        """The steps with their numbers from 0."""
        yield from enumerate(self.recipe.method)

    @property
    def text(self) -> str:
        """The whole method."""
        return " ".join(s.do for s in self.recipe.method)

    def first_use(self, item: Item) -> int | None:
        """The number of the step that first uses an ingredient, or none.

        A full name counts before a telling word; a word that several bear counts only when the item's own words are nowhere.
        """
        for wanted, together in ((item.full, True), (item.own, False), (item.telling, False), (item.kinds, False)):
            if not wanted:
                continue
            for n, words in enumerate(self.step_words):
                hit = _phrase(words, wanted) if together else any(w in words for w in wanted)
                if hit:
                    return n
        return None


def _phrase(words: tuple[str, ...], phrase: tuple[str, ...]) -> bool:
    size = len(phrase)
    return any(words[i : i + size] == phrase for i in range(len(words) - size + 1))


def read_page(recipe: Recipe) -> Page:
    """Split list and method into words."""
    named = [tuple(words_of(i.item)) or (i.item.casefold(),) for i in recipe.ingredients]      # an item in another script has no words here
    telling = [tuple(w for w in n if w not in QUALIFIERS and singular(w) not in QUALIFIERS) or n for n in named]
    items = []
    kinds = [kinds_of(line.item) for line in recipe.ingredients]
    for k, line in enumerate(recipe.ingredients):
        others = {w for j, t in enumerate(telling) if j != k for w in t}
        alone = kinds[k] - others - {w for j, more in enumerate(kinds) if j != k for w in more}
        items.append(Item(line, named[k], telling[k], tuple(w for w in telling[k] if w not in others), tuple(sorted(alone))))
    return Page(recipe, tuple(items), tuple(tuple(words_of(s.do)) for s in recipe.method))


# what a method calls an ingredient by its kind alone (common practice, no source)
_KINDS = frozenset(["beef", "lamb", "pork", "veal", "chicken", "turkey", "duck", "venison", "meat", "bird", "fish", "seafood", "cheese", "pasta",
                    "noodle", "nut", "bean", "mushroom", "chocolate", "rice", "stock", "wine", "berry"])
_BY_CATEGORY = {"meat": {"meat"}, "poultry": {"meat", "bird"}, "fish": {"fish", "seafood"}, "shellfish": {"seafood"}, "cheese": {"cheese"},
                "pasta": {"pasta"}, "nut": {"nut"}, "mushroom": {"mushroom"}, "chocolate": {"chocolate"}, "stock": {"stock"}}


def kinds_of(name: str) -> set[str]:
    """The kinds by which a step may call an ingredient, from the pantry: rump steak is beef and meat, penne is pasta."""
    from proofpan.science.foods import look_up

    food = look_up(name)
    if food is None:
        return set()
    return set(words_of(f"{food.key} {food.name}")) & _KINDS | _BY_CATEGORY.get(food.category, set())


def mention(item: Item) -> str:
    """A pattern for an ingredient's mention in running text: its full name, or up to two words and its last telling word."""
    last = re.escape(item.telling[-1])
    return rf"(?:[\w-]+\s+){{0,2}}?{last}(?:s|es)?\b"
