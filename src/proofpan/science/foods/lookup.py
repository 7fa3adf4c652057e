"""Finding a food by what a cook calls it, and saying its name as another country does.

A wrong confident match is worse than none: names are matched whole (after case, accents, plurals, spelling and
qualifiers such as "finely chopped" are set aside), the country decides where a word means two foods ("tomato purée"),
and a misspelling is mended only when each word has one near neighbour and is no food word itself.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import fields, replace
from functools import lru_cache
from typing import Any

from proofpan.science.foods.food import COUNTRIES, Composition, Food, FoodError, Portion, country_code, pantry
from proofpan.science.foods.words import (
    ALSO_SPELT,
    ALWAYS_SO,
    MAKES_ANOTHER,
    NO_SLIP,
    QUALIFIERS,
    TWO_MEANINGS,
    bracket_variants,
    plain,
    plural,
    singular,
    tokens,
)

Words = tuple[str, ...]
_ANY = ""

# said for this food in one country only; elsewhere the words mean something that isn't in the pantry
_ONLY_THERE = frozenset({("curd",), ("tomato", "sauce"), ("tasty", "cheese"), ("standard", "milk")})


class _Index:
    """Names to keys. `senses[words]` maps a country (or "" for any) to the keys that the words mean there."""

    def __init__(self, foods: Iterable[Food]) -> None:
        self.senses: dict[Words, dict[str, str]] = {}
        self.sorted_words: dict[Words, Words] = {}
        self.vocabulary: set[str] = set(QUALIFIERS | NO_SLIP)
        foods = tuple(foods)
        for food in foods:  # a food's own names come before what others are also called
            for words in (tokens(food.key), tokens(food.name)):
                self._add(words, _ANY, food.key)
        for food in foods:
            for code, name in food.names:
                self._add(tokens(name), code, food.key)
        for food in foods:
            for also in food.also:
                code, _, name = also.partition(":") if also[2:3] == ":" else ("", "", also)
                self._add(tokens(name), code, food.key)
        self.by_length: dict[int, list[Words]] = {}
        for words in self.senses:
            self.vocabulary.update(words)
            self.by_length.setdefault(len(words), []).append(words)
            self.sorted_words.setdefault(tuple(sorted(words)), words)
        self.longest = max(self.by_length, default=0)

    def _add(self, words: Words, code: str, key: str) -> None:
        if words:
            self.senses.setdefault(words, {}).setdefault(code, key)

    def key(self, words: Words, country: str | None) -> str | None:
        """The key that exactly these words mean, or None where they mean nothing or several things."""
        senses = self.senses.get(words)
        if senses is None:
            return None
        if country in senses:
            return senses[country]
        if words in _ONLY_THERE or (country is None and words in TWO_MEANINGS):
            return None
        if _ANY in senses:
            return senses[_ANY]
        meanings = set(senses.values())
        return meanings.pop() if len(meanings) == 1 else None


@lru_cache(maxsize=1)
def _index() -> _Index:
    return _Index(pantry().values())


def _readings(name: str) -> Iterable[Words]:
    """The ways a name may be read, surest first."""
    for variant in bracket_variants(name):
        whole = tokens(variant)
        yield whole
        if "," in variant:
            segments = [tokens(part) for part in variant.split(",")]
            yield tuple(w for part in reversed(segments) for w in part)
            yield tuple(sorted(whole))
    for variant in bracket_variants(name):
        segments = [tokens(part) for part in variant.split(",")]
        while len(segments) > 1 and set(segments[-1]) <= QUALIFIERS:
            segments.pop()
            yield tuple(w for part in segments for w in part)
            yield tuple(w for part in reversed(segments) for w in part)
        kept = tokens(variant)
        while kept and kept[0] in QUALIFIERS:
            kept = kept[1:]
            yield kept
        while kept and kept[-1] in QUALIFIERS:
            kept = kept[:-1]
            yield kept
        yield tuple(w for w in tokens(variant) if w not in QUALIFIERS)


def _mended(words: Words, index: _Index) -> Words | None:
    """The one known name that these words misspell, or None.

    Words under five letters must be right; five to seven letters may be one slip off, longer ones two; the first letter
    is taken as typed right; a word that is a food word already is never changed.
    """
    from rapidfuzz.distance import OSA

    wrong = [i for i, word in enumerate(words) if word not in index.vocabulary]
    if not wrong or any(len(words[i]) < 5 for i in wrong):
        return None
    found: dict[Words, int] = {}
    for candidate in index.by_length.get(len(words), ()):
        slips = 0
        for i, (typed, known) in enumerate(zip(words, candidate, strict=True)):
            if typed == known:
                continue
            allowed = 1 if len(typed) < 8 else 2
            near = (known, *ALSO_SPELT.get(known, ())) if i in wrong and typed[0] == known[0] else ()
            distance = min((OSA.distance(typed, form, score_cutoff=allowed) for form in near), default=9)
            if distance > allowed:
                break
            slips += distance
        else:
            found[candidate] = slips
    if not found:
        return None
    least = min(found.values())
    best = [words for words, slips in found.items() if slips == least]
    meanings = {tuple(sorted(set(index.senses[words].values()))) for words in best}
    return best[0] if len(meanings) == 1 else None


@lru_cache(maxsize=20_000)
def _find(name: str, country: str | None) -> Food | None:
    index = _index()
    seen: set[Words] = set()
    for words in _readings(name):
        if not words or words in seen:
            continue
        seen.add(words)
        key = index.key(words, country)
        if key is None and "," in name:
            key = index.key(index.sorted_words.get(tuple(sorted(words)), ()), country)
        if words == ("pepper",) and "peppers" in plain(name):  # the spice has no plural
            key = "bell pepper"
        if key is not None:
            food = pantry()[key]
            return None if _another_food(tokens(name), words, food) else food
    for words in list(seen):
        kept = tuple(w for w in words if w not in ALWAYS_SO)
        key = index.key(kept, country) if kept and kept != words else None
        if key is not None:
            food = pantry()[key]
            if all(food.category in ALWAYS_SO[w] for w in words if w in ALWAYS_SO):
                return food
    for words in list(dict.fromkeys(_readings(name)))[:8]:
        mended = _mended(words, index) if words else None
        key = index.key(mended, country) if mended else None
        if key is not None:
            return pantry()[key]
    return None


def _another_food(said: Words, read: Words, food: Food) -> bool:
    """Whether a qualifier that was set aside changes the food after all: minced meat, frozen yoghurt."""
    aside = set(said) - set(read)
    return ("minced" in aside and food.category in ("meat", "poultry")) or ("frozen" in aside and food.category == "dairy")


def meanings(name: str) -> dict[str, Food]:
    """What a name means country by country, where it isn't the same food everywhere; empty where it is, or means nothing."""
    found = {code: food for code in COUNTRIES if (food := _find(name, code)) is not None}
    return found if len({food.key for food in found.values()}) > 1 else {}


def near_names(name: str, most: int = 3) -> tuple[str, ...]:
    """House names of foods that are written much like this one, nearest first: to ask with, never to take for granted."""
    from rapidfuzz import fuzz, process

    known = {words: food.key for food in pantry().values() for words in (food.name, *dict(food.names).values(), *(a.partition(":")[2] or a for a in food.also))}
    close = process.extract(plain(name), list(known), scorer=fuzz.token_sort_ratio, processor=plain, score_cutoff=72, limit=12)
    return tuple(dict.fromkeys(pantry()[known[words]].name for words, _, _ in close))[:most]


def own_food(name: str, entry: Food | Mapping[str, Any]) -> Food:
    """A cook's own entry as a Food.

    Parameters: entry, a Food, or a mapping of Food's fields; `like` names a pantry food whose figures it starts from,
    `composition` may be a mapping of Composition's fields, `density_g_per_ml` a number or (value, low, high),
    `portions` a mapping {unit: grams}.
    Raises: FoodError for a field that a food doesn't have, or a number that isn't one.
    """
    if isinstance(entry, Food):
        return entry
    known = {f.name for f in fields(Food)}
    given = dict(entry)
    like = given.pop("like", None)
    base = look_up(str(like)) if like is not None else Food(key=name, name=name, source="own entry", confidence="own entry")
    if base is None:
        raise FoodError(f'"{name}" is to be like "{like}", which is not in the pantry.')
    for wrong in sorted(set(given) - known):
        raise FoodError(f'"{name}" has a field "{wrong}" that a food doesn\'t have; known are {", ".join(sorted(known))}.')
    try:
        density = given.get("density_g_per_ml")
        if isinstance(density, (int, float)):
            given["density_g_per_ml"] = (float(density), float(density), float(density))
        if isinstance(given.get("composition"), Mapping):
            start = base.composition or Composition(0, 0, 0, None, 0, None, 0, 0)
            given["composition"] = replace(start, **given["composition"])
        if isinstance(given.get("portions"), Mapping):
            given["portions"] = tuple(Portion(unit, "", "", float(g), "own entry") for unit, g in given["portions"].items())
    except (TypeError, ValueError) as error:
        raise FoodError(f'"{name}" can\'t be read as a food: {error}.') from None
    if isinstance(given.get("names"), Mapping):
        given["names"] = tuple(given["names"].items())
    for listed in ("allergens_eu", "allergens_us", "diet", "safety", "also"):
        if isinstance(given.get(listed), (list, set, frozenset)):
            given[listed] = tuple(given[listed])
    return replace(base, **{"key": name, "name": name, "names": (), "source": "own entry", **given})


def look_up(name: str | Food, country: str | None = None, *, extra: Mapping[str, Food | Mapping[str, Any]] | None = None) -> Food | None:
    """The food that a cook of a country means by a name, or None when that isn't sure.

    Parameters: name, as in an ingredient line ("2 large" left out); a Food is handed back. country, whose cook speaks:
    it decides where a word means two foods. extra, own entries by name (see `own_food`), which come first.
    Raises: FoodError for an unknown country or a wrong own entry.
    """
    if isinstance(name, Food):
        return name
    code = country_code(country)
    if extra:
        own = {tokens(own_name): own_name for own_name in extra}
        for words in _readings(name):
            if words in own:
                return own_food(own[words], extra[own[words]])
    return _find(name, code)


def rename(item_text: str, to_country: str, from_country: str | None = None) -> str:
    """An ingredient's text with the names that cooks of another country use.

    Only names change: qualifiers, numbers and unknown words stay as written, as do words already usual there and words
    that mean different foods in different countries when `from_country` doesn't say which.

    Parameters: item_text, "2 courgettes, sliced"; to_country and from_country, see `look_up`.
    Returns: the text, "2 zucchini, sliced" for the US.
    """
    target, origin = country_code(to_country), country_code(from_country)
    if target is None:
        return item_text
    index = _index()
    pieces = _spans(item_text)
    out, at, i = [], 0, 0
    while i < len(pieces):
        for j in range(min(len(pieces), i + index.longest), i, -1):
            phrase = item_text[pieces[i][0] : pieces[j - 1][1]]
            if any(c in phrase for c in ",;()"):
                continue
            words = tokens(phrase)
            if words in index.senses:
                follows = item_text[pieces[j - 1][1] : pieces[j][1]] if j < len(pieces) else ""
                another = follows[:1] == " " and set(tokens(follows)) & MAKES_ANOTHER
                new = phrase if another else _renamed(phrase, words, target, origin, index)
                out.append(item_text[at : pieces[i][0]] + new)
                at, i = pieces[j - 1][1], j
                break
        else:
            i += 1
    return "".join(out) + item_text[at:]


def _spans(text: str) -> list[tuple[int, int]]:
    """Where each word of a text begins and ends."""
    spans, start = [], None
    for i, c in enumerate(text + " "):
        inside = c.isalnum() or c in "'’%&"
        if inside and start is None:
            start = i
        elif not inside and start is not None:
            spans.append((start, i))
            start = None
    return spans


def _renamed(phrase: str, words: Words, target: str, origin: str | None, index: _Index) -> str:
    senses = index.senses[words]
    elsewhere = {code: key for code, key in senses.items() if code != target}
    if origin:
        key = index.key(words, origin)
    else:
        meanings = set(elsewhere.values()) or set(senses.values())
        key = meanings.pop() if len(meanings) == 1 else None
    if key is None:
        return phrase
    food = pantry()[key]
    said = food.name_in(target)
    if tokens(said) == words or _usual_there(words, food, senses, target) or not food.names:
        return phrase
    new = _as_many(said, phrase)
    return new[0].upper() + new[1:] if phrase[0].isupper() and not said[0].isupper() else new


def _usual_there(words: Words, food: Food, senses: Mapping[str, str], target: str) -> bool:
    """Whether cooks of the target country say these words themselves for this food."""
    if senses.get(target) == food.key:
        return True
    if target in senses:
        return False
    regional = any(tokens(name) == words for name in (food.name, *dict(food.names).values()))
    tagged = any(code != _ANY for code, key in senses.items() if key == food.key)
    return not regional and not tagged


def _as_many(said: str, phrase: str) -> str:
    """A name in the plural when the phrase it stands for is."""
    last = plain(phrase).split()[-1] if phrase.split() else ""
    head, _, tail = said.rpartition(" ")
    if singular(last) == last or singular(plain(tail)) != plain(tail) or not pantry_countable(said):
        return said
    return f"{head} {plural(tail)}".strip()


# names of one word that mean a food and nothing else in a sentence of ours; others are names with two words or more
_PLAIN_WORDS = frozenset(
    ["cornflour", "cornstarch", "aubergine", "eggplant", "brinjal", "courgette", "zucchini", "cilantro", "prawns", "shrimp", "arugula", "swede",
     "rutabaga", "sultanas", "beetroot", "mangetout"]
)


@lru_cache(maxsize=8)
def regional_pairs(country: str) -> tuple[tuple[str, str], ...]:
    """(name elsewhere, name there) of each food that a country calls otherwise, for words of ours that run in a sentence.

    Only what means one food, there and elsewhere; of names with one word only those that mean nothing else in English.
    """
    code = country_code(country)
    pairs: dict[str, str] = {}
    for food in pantry().values():
        said = food.name_in(country)
        for name in {food.name, *dict(food.names).values()} - {said}:
            words = tokens(name)
            if "(" in said or len(words) < 2 and name not in _PLAIN_WORDS or words == tokens(said) or words in TWO_MEANINGS:
                continue
            elsewhere = {key for where, key in _index().senses.get(words, {}).items() if where != code}
            if elsewhere == {food.key} and _index().senses[words].get(code or "", food.key) == food.key and not _said_there(words, food, code):
                pairs.setdefault(name, said)
    return tuple(sorted(pairs.items()))


def _said_there(words: Words, food: Food, code: str | None) -> bool:
    """Whether cooks of that country say these words themselves: then they stay."""
    return _index().senses.get(words, {}).get(code or "") == food.key


def pantry_countable(name: str) -> bool:
    """Whether a name stands for something sold or used by the piece."""
    food = look_up(name)
    return bool(food and food.countable)


def names_known(foods: Sequence[Food] | None = None) -> tuple[str, ...]:
    """The house names of all foods, for lists and suggestions."""
    return tuple(food.name for food in (foods or pantry().values()))


__all__ = ["COUNTRIES", "look_up", "meanings", "names_known", "near_names", "own_food", "regional_pairs", "rename"]
