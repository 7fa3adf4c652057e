"""Our own words as a kitchen says them: its spelling, its words for kit and method, its names of foods. What was typed stays as typed."""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import lru_cache
from typing import Any

from proofpan.study.brief import Brief
from proofpan.study.house import HouseStyle, house_style, house_styles, replaced
from proofpan.study.kitchen import Kitchen
from proofpan.study.study import Study

_QUOTED = r"“[^”]*”|‘[^’]*’|\"[^\"]*\""
_LIKE = {"IE": "UK", "IN": "UK"}        # countries without a style of their own, and whose spelling theirs is nearest to (common practice)

Pairs = tuple[tuple[str, str], ...]


def house_of(kitchen: Kitchen) -> HouseStyle | None:
    """The style a kitchen's screens follow: its own, else its country's; none where neither is said."""
    if isinstance(kitchen.style, HouseStyle):
        return kitchen.style
    name = kitchen.style or _LIKE.get(kitchen.country or "", kitchen.country or "")
    return house_style(name) if name in house_styles() else None


def style_name(study: Study) -> str | None:
    """What the kitchen's own style is called; none where it keeps none."""
    style = study.brief.kitchen.style
    return style.name if isinstance(style, HouseStyle) else style


def our_words(text: str, study: Study) -> str:
    """A sentence or a label of ours as the study's kitchen says it.

    Parameters: text, ours from beginning to end, but for what a person typed that stands in it: an option's name, an ingredient, a note.
        Those are known from the study's brief and stay, and so does whatever stands in quotation marks.
    """
    house = house_of(study.brief.kitchen)
    if house is None:
        return text
    pairs = _pairs_of(house, _named_in(house))
    return text if replaced(text, pairs) == text else _between(text, pairs, _typed(study.brief, pairs, house))


def words_at(text: str, country: str | None, typed: tuple[str, ...] = ()) -> str:
    """The same where there is no study, only a country and what was typed."""
    house = house_of(Kitchen(country=country)) if country else None
    if house is None:
        return text
    pairs = _pairs_of(house, _named_in(house))
    return _between(text, pairs, _pattern(typed, house))


def _between(text: str, pairs: Pairs, kept: str | None) -> str:
    """Replaced, but for what stands in quotation marks or matches the pattern of what was typed."""
    keep = re.compile(f"({_QUOTED}|{kept})" if kept else f"({_QUOTED})", re.I)
    return "".join(part if i % 2 else replaced(part, pairs) for i, part in enumerate(keep.split(text)))


def _pattern(typed: tuple[str, ...], house: HouseStyle) -> str | None:
    """What was typed, whole, and the foods that it names: who writes plain flour reads plain flour in what is said of it."""
    foods = _food_names(_named_in(house))
    named = {m[0] for t in typed for m in foods.finditer(t)} if foods else set()
    longest = sorted({t.strip() for t in (*typed, *named) if t.strip()}, key=len, reverse=True)
    return "|".join(map(re.escape, longest)) if longest else None


@lru_cache(maxsize=8)
def _food_names(country: str | None) -> re.Pattern[str] | None:
    from proofpan.science.foods import regional_pairs

    names = sorted((old for old, _ in regional_pairs(country)), key=len, reverse=True) if country else []
    return re.compile(r"(?<![\w-])(?:" + "|".join(map(re.escape, names)) + r")(?![\w-])", re.I) if names else None


def _named_in(house: HouseStyle) -> str | None:
    return None if house.measures == "metric" else house.measures


@lru_cache(maxsize=64)
def _pairs_of(house: HouseStyle, country: str | None) -> Pairs:
    from proofpan.science.foods import regional_pairs

    foods = regional_pairs(country) if country else ()
    return (*house.kit, *house.method, *house.words, *foods)


_MEMO: dict[int, tuple[Brief, Pairs, str | None]] = {}      # the newest brief only: a page says many sentences of one study


def _typed(brief: Brief, pairs: Pairs, house: HouseStyle) -> str | None:
    """A pattern of what a person typed in the brief that a replacement would touch, the longest first; none where nothing is."""
    found = _MEMO.get(id(brief))
    if found is not None and found[0] is brief and found[1] == pairs:
        return found[2]
    pattern = _pattern(tuple(t for t in _strings(brief.model_dump(mode="json")) if replaced(t, pairs) != t), house)
    _MEMO.clear()
    _MEMO[id(brief)] = (brief, pairs, pattern)
    return pattern


def _strings(value: Any) -> Iterator[str]:
    """Every text of a document, but for the house style itself."""
    if isinstance(value, str):
        if value.strip():
            yield value
    elif isinstance(value, dict):
        for key, inner in value.items():
            if key != "style":
                yield from _strings(inner)
    elif isinstance(value, (list, tuple)):
        for inner in value:
            yield from _strings(inner)
