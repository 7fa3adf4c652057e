"""Audit rule: everything used is listed, foods by the pantry's own names, water, salt, what is for the tin or the board."""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import lru_cache

from proofpan.steps.audit_words import EVERYTHING, Page, kinds_of, singular, words_of

Found = Iterator[tuple[str, str, str, str, str]]     # kind, place, name, says, fix

# food words that mean something else in a method as often as not, or name what the method itself makes
_AMBIGUOUS = frozenset([
    "bay", "bread", "butt", "clove", "conserve", "cos", "crisp", "curd", "dripping", "drumstick", "gluten", "jam", "liver", "mace", "mince",
    "port", "preserve", "roe", "sage", "sole", "spirit", "sprout", "starch", "steak", "til", "whey", "wrap", "water", "tea", "pesto",
    "salsa", "marmalade", "mayonnaise", "mayo", "hummus", "houmous", "muesli", "granola", "tortilla", "pasta", "sausage", "snail", "caster",
    "russet", "balsamic", "jasmine", "serrano", "romano", "sourdough", "orange", "lime", "burdock", "cherry", "crab", "spread", "corn",
    "sprinkle", "jimmy", "frank", "devon", "kidney", "grit", "boudoir", "snag", "banger", "rasher",
    "bagel", "biscuit", "brioche", "butterscotch", "chapati", "chapatti", "chutney", "ciabatta", "cracker", "croissant", "crumpet", "custard", "dukkah",
    "focaccia", "fondant", "gingernut", "gingersnap", "gnocchi", "guacamole", "honeycomb", "membrillo", "meringue", "muffin", "oatcake", "pav",
    "phulka", "pickle", "pretzel", "roti", "shortbread", "toffee", "tzatziki", "wafer",
])
_KINDS = frozenset(["bean", "noodle", "chocolate", "berry", "nut", "muscovado", "biscuit", "lentil"])    # names only with a word before them
_VERBS = frozenset(["cream", "salt", "oil", "butter", "flour", "sugar", "pepper", "mustard", "juice", "honey", "milk", "water"])
_NOT_FOOD_NEXT = re.compile(
    r"\s*-?(?:mill|grinder|towel|knife|pot|bowl|spoon|cup|brush|press|paper|tin|dish|tray|bath|cutter|slicer|stone|cloth|"
                            r"rings?|shells?|board|glass|machine|free|sized?|coloured|like)\b", re.I)
_LIKENESS = re.compile(r"(?:\blike|\bas big as|\bsize of|\bthe colour of|\bwithout|\bno|\bnot|\binstead of|\bsmells? of|\btastes? of)"
                       r"\s+(?:an?\s+|the\s+)?(?:[\w-]+\s+)?$", re.I)
_WATER = re.compile(r"\bwater\b(?![- ](?:bath|bottle|glass))", re.I)
_WATER_GONE = re.compile(r"\b(?:running|tap|ice|iced?)\s+water\b"
                         r"|\b(?:drain|pour off|tip out|squeeze out|until|till|of)\b[^.;,]{0,20}\bwater\b"
                         r"|\bwater\s+(?:is|has|runs|comes|should|boils|evaporates|collects|drains)\b|\b(?:its|their|rose|orange|flower|soda|pasta"
                         r"|cooking|coconut|soaking)\s+water\b", re.I)
_ICED = re.compile(r"\b(?:add|stir in|pour in|with|and|the)\s+(?:the\s+)?iced?\s+water\b", re.I)
_TO_COAT = (r"\b(?:grease|butter|dust|flour|line|oil|brush|sprinkle)"
            r"\s+(?:an?|the|two|your)\s+(?:[^.;]|[.]\d){0,50}?\b(?:tin|pan|dish|tray|board|bench|mould"
            r"|worktop|surface|sheet|bowl)s?\b")
_COATS = re.compile(_TO_COAT + r"[^.;]{0,16}?\bwith\s+(?:a\s+little\s+|some\s+)?(?:of\s+)?(?:the\s+)?(?P<what>[a-z-]+(?: [a-z-]+)?)", re.I)
_COATED_WITH = re.compile(r"\b(?:grease|dust|brush|glaze|flour|oil|line|roll\w*)\b[^.;]{0,40}?\b(?:with|in|on)\s+"
                          r"(?:a\s+little\s+|some\s+)?(?:of\s+)?(?:the\s+)?[\w -]+", re.I)
_FOR_THE_TIN = re.compile(r"\b(?:for|to (?:grease|dust|line|oil|butter|flour|glaze|brush|roll))"
                          r" (?:the )?(?:tins?|pans?|dish(?:es)?|trays?|board|bench|moulds?"
                          r"|dusting|greasing|rolling|brushing|glazing|surface)\b"
                          r"|\bto (?:dust|grease|glaze)\b", re.I)
_BARE = {"floured": "flour", "buttered": "butter", "oiled": "oil", "salted": "salt", "sugared": "sugar", "peppered": "pepper"}
_OF_THE_FIRST = frozenset(["powder", "seed", "leaf", "juice", "zest", "peel", "mixture", "sauce", "paste"])     # lemon juice comes of the lemon
_BEANS_AS_KIT = re.compile(r"\b(?:baking|ceramic) beans\b", re.I)
MOST_WORDS = 3


@lru_cache(maxsize=1)
def _food_names() -> frozenset[tuple[str, ...]]:
    """Every name of the pantry as words in the singular."""
    from proofpan.science.foods import pantry

    names = {n for f in pantry().values() for n in (f.name, *(n for _, n in f.names), *(a.rpartition(":")[2] for a in f.also))}
    return frozenset(words for n in names if 0 < len(words := tuple(words_of(n))) <= MOST_WORDS)


def unlisted(page: Page) -> Found:
    """Everything used is listed: water, salt, oil for the tin, flour for the board."""
    if EVERYTHING.search(page.text) and len(page.items) < 2:
        return
    listed = {w for item in page.items for w in words_of(item.line.text)} | {w for item in page.items for w in item.full}
    listed |= {w for item in page.items for w in kinds_of(item.name)}
    if _BEANS_AS_KIT.search(f"{page.text} {' '.join(page.recipe.equipment)}"):
        listed |= {"bean"}
    made = set(words_of(page.recipe.makes or ""))
    seen: set[str] = set()
    for _, step in page.steps():
        for what in (*_foods(step.do, listed, made), *_coats(page, step.do), *_beyond_the_tin(page, step.do), *_phrases(page, step.do)):
            if what not in seen and not any(what in s.split() for s in seen):
                seen.add(what)
                yield _not_listed(step.id, what)
        if "water" not in listed and "water" not in seen and _uses_water(step.do):
            seen.add("water")
            yield _not_listed(step.id, "water")


def _not_listed(step: str, what: str) -> tuple[str, str, str, str, str]:
    return "unlisted", "step", step, f"Step {step} uses {what}, which isn't listed.", f"Add {what} to the list, with its amount."


def _uses_water(text: str) -> bool:
    if _ICED.search(text):
        return True
    return _WATER.search(_WATER_GONE.sub(" ", text)) is not None


def _foods(text: str, listed: set[str], made: set[str]) -> Iterator[str]:
    """Foods named in a step of which no word stands on the list."""
    names = _food_names()
    for run in re.split(r"[.;:()]|(?<=\w),", text):
        found = [(m.start(), m.end(), singular(m[0].casefold())) for m in re.finditer(r"[a-zA-ZÀ-ÿ]+(?:-[a-zA-ZÀ-ÿ]+)*", run)]
        words = [_BARE.get(w, w) for _, _, w in found]
        at = 0
        while at < len(words):
            size = next((n for n in range(min(MOST_WORDS, len(words) - at), 0, -1) if tuple(words[at : at + n]) in names), 0)
            if size == 0:
                if words[at] not in _KINDS:
                    at += 1
                    continue
                size = 1
            phrase = words[at : at + size]
            before, after = run[: found[at][0]], run[found[at + size - 1][1] :]
            if not _passes(phrase, listed, made, before, after, at):
                yield " ".join(phrase)
            at += size


def _passes(phrase: list[str], listed: set[str], made: set[str], before: str, after: str, at: int) -> bool:
    """Whether a food word is on the list after all, or isn't a food here."""
    if phrase[-1] in listed or phrase[-1] in made and phrase[-1] not in _VERBS:
        return True
    if len(phrase) > 1 and phrase[0] in listed and phrase[-1] in _OF_THE_FIRST:
        return True
    if len(phrase) == 1:
        word = phrase[0]
        verb = word in _VERBS and at == 0 and re.match(r"\s+(?:the|together|until|with|for|an?|and)\b", after) is not None
        if word in _AMBIGUOUS or (word == "cream" and verb):
            return True
    return _NOT_FOOD_NEXT.match(after) is not None or _LIKENESS.search(before) is not None


def _coats(page: Page, text: str) -> Iterator[str]:
    """What greases a tin or dusts a board, where the list has only another kind of it."""
    for m in _COATS.finditer(text):
        words = words_of(m["what"])
        for phrase in (words, words[:1]):
            bearing = [set(words_of(i.line.text)) | set(i.full) for i in page.items]
            lines = [words for words in bearing if phrase and phrase[-1] in words]
            if lines and len(phrase) == 2 and not any(phrase[0] in line or _same_stem(phrase[0], line) for line in lines):
                yield " ".join(phrase)
            if lines:
                break


def _beyond_the_tin(page: Page, text: str) -> Iterator[str]:
    """What a step uses otherwise, where the list has it for the tin or the board alone."""
    rest = _COATED_WITH.sub(" ", re.sub(_TO_COAT + r"[^.;]*", " ", text, flags=re.I))
    words = words_of(rest)
    for item in page.items:
        head = item.telling[-1]
        only = all(_FOR_THE_TIN.search(i.line.text) for i in page.items if head in (*i.full, *words_of(i.line.text)))
        if only and head in words and not re.match(r"(?:dust|brush|glaze|grease)\b", rest.strip(), re.I) and (head,) in _food_names():
            yield head


def _same_stem(word: str, words: set[str]) -> bool:
    """`soft` and `softened`."""
    return any(w.startswith(word) or word.startswith(w) for w in words if len(w) > 3)


def _phrases(page: Page, text: str) -> Iterator[str]:
    """Names of two words that the pantry knows and no line of the list bears, where a line shares their last word."""
    from proofpan.science.foods import look_up

    names = [item.full for item in page.items]
    heads = {n[-1] for n in names if n}
    known = _food_names()
    keys: set[str] | None = None
    runs = [words_of(run) for run in re.split(r"[,.;:()–]", text)]
    for a, b in (pair for run in runs for pair in zip(run, run[1:], strict=False)):
        if b not in heads or (a, b) not in known or any(_contains(n, (a, b)) for n in names):
            continue
        if keys is None:
            keys = {food.key for item in page.items if (food := look_up(item.name)) is not None}
        food = look_up(f"{a} {b}")
        if food is not None and food.key not in keys:
            yield f"{a} {b}"


def _contains(name: tuple[str, ...], phrase: tuple[str, str]) -> bool:
    return any(name[i : i + 2] == phrase for i in range(len(name) - 1))
