"""Audit rules on amounts: divided amounts add up in every measure shown, and two measures of one amount agree."""

from __future__ import annotations

import re
from collections.abc import Iterator

from proofpan.steps.audit_words import Item, Page, mention, words_of
from proofpan.study.errors import quoted
from proofpan.study.lines import NUMBER, Measure, amount_of_line, fraction_text, number_of

Found = Iterator[tuple[str, str, str, str, str]]

FRACTION_WORDS = {"half": 0.5, "a third": 1 / 3, "one third": 1 / 3, "one-third": 1 / 3, "two thirds": 2 / 3, "two-thirds": 2 / 3,
                  "a quarter": 0.25, "one quarter": 0.25, "three quarters": 0.75, "three-quarters": 0.75, "½": 0.5, "⅓": 1 / 3, "⅔": 2 / 3,
                  "¼": 0.25, "¾": 0.75}
_PARTS = "|".join(sorted(map(re.escape, FRACTION_WORDS), key=len, reverse=True))
_REST = r"\b(?:rest of|remaining|remainder of|other half of|leftover|last of)\b"


def divided(page: Page) -> Found:
    """An amount used in parts adds up to what is listed."""
    from proofpan.science.measures import parse_line

    for item in page.items:
        named = mention(item)
        listed = parse_line(item.line.text)
        parts: list[tuple[float, str, str]] = []
        shares: list[tuple[float, str, str]] = []
        rest = False
        for _, step in page.steps():
            for m in re.finditer(rf"(\d+(?:[.,]\d+)?)\s*(g|kg|ml|mL|l|L)(?:\s*\([^)]*\))?\s+(?:of\s+)?(?:the\s+)?{named}", step.do, re.I):
                if item.own or len(page.items) == 1 or " ".join(item.full) in " ".join(words_of(m[0])):
                    parts.append((float(m[1].replace(",", ".")), m[2], step.id))
            shares += [(FRACTION_WORDS[m[1].casefold()], m[1], step.id) for m in re.finditer(
                rf"(?<![\w-])({_PARTS})\s+(?:of\s+)?(?:the\s+)?{named}", step.do, re.I)]
            rest = rest or bool(re.search(rf"{_REST}\s+(?:the\s+)?{named}", step.do, re.I))
        yield from _spooned_parts(page, item, shares, rest)
        yield from _shares(item.name, item.line.text, shares, rest)
        yield from _parts(item.name, item.line.text, parts, shares, rest, listed)


_SPOONED = rf"(?P<n>{NUMBER})\s*(?P<unit>cups?|tbsp|tablespoons?|tsp|teaspoons?)\)?\s+(?:of\s+)?(?:the\s+)?"


def _spooned_parts(page: Page, item: Item, shares: list[tuple[float, str, str]], rest: bool) -> Found:
    """Cups and spoons of one ingredient in the method add up to those on the list."""
    from proofpan.science.measures.words import unit_of

    listed = {m.unit: m.high for m in amount_of_line(item.line.text) if m.unit in ("cup", "tbsp", "tsp")}
    if not listed or not (item.own or len(page.items) == 1):
        return
    parts: dict[str, list[tuple[float, str]]] = {}
    for _, step in page.steps():
        for m in re.finditer(_SPOONED + mention(item), step.do, re.I):
            parts.setdefault(unit_of(m["unit"]) or "", []).append((number_of(m["n"]), step.id))
    for unit, found in parts.items():
        if unit not in listed:
            continue
        total = sum(n for n, _ in found) + sum(s for s, _, _ in shares) * listed[unit]
        over = total > 1.02 * listed[unit] and len(found) + len(shares) > 1
        under = total < 0.98 * listed[unit] and len(found) > 1 and not rest and not shares
        if over or under:
            said = " + ".join([*(words for _, words, _ in shares), *(fraction_text(n) for n, _ in found)])
            yield ("divided", "step", found[-1][1], f"The {item.name} doesn't add up in {unit}s: {said} = {fraction_text(total)} in the method, "
                   f"{fraction_text(listed[unit])} in the list ({quoted(item.line.text)}).", "Mend the list or the parts.")


_BOTH = rf"(?P<a>{NUMBER})\s*(?P<u>g|ml)\s*\((?P<b>{NUMBER})\s*(?P<v>cups?|tbsp|tsp)\)\s+(?:of\s+)?(?:the\s+)?"


def sides_agree(page: Page) -> Found:
    """Two measures of one amount in the method (60 g (½ cup)) stand to each other as the list's two do."""
    for item in page.items:
        listed = {m.unit: m.high for m in amount_of_line(item.line.text)}
        for _, step in page.steps():
            for m in re.finditer(_BOTH + mention(item), step.do, re.I):
                first, second = m["u"].lower(), m["v"].lower().rstrip("s") if m["v"].lower() != "tsp" else "tsp"
                if first in listed and second in listed and item.own:
                    ours, theirs = number_of(m["a"]) / number_of(m["b"]), listed[first] / listed[second]
                    if abs(ours / theirs - 1) > 0.15:
                        yield ("measures", "step", step.id, f"The two measures of {quoted(item.name)} in step {step.id} don't agree as "
                               f"the list's do: {m['a']} {m['u']} and {m['b']} {m['v']} don't add up beside {quoted(item.line.text)}.",
                               "Mend the one that is wrong.")


_PART_OF = re.compile(
    rf"(?<![\w-])(?P<part>{_PARTS})\s+(?:of\s+)?(?:the|your)\s+(?P<noun>[a-z]+)|\bthe other (?P<other>half|third|quarter)\b", re.I
)
_OTHER = {"half": 0.5, "third": 1 / 3, "quarter": 0.25}


def divided_between(page: Page) -> Found:
    """Parts of what the method itself made (a dough, a crumb) add up to the whole."""
    items = {w for item in page.items for w in (*item.telling, *item.full)}
    parts: dict[str, list[tuple[float, str, str]]] = {}
    last = ""
    for _, step in page.steps():
        for m in _PART_OF.finditer(step.do):
            if m["part"]:
                last = words_of(m["noun"])[0]
                parts.setdefault(last, []).append((FRACTION_WORDS[m["part"].casefold()], m["part"], step.id))
            elif last:
                parts[last].append((_OTHER[m["other"].casefold()], f"the other {m['other']}", step.id))
    for noun, shares in parts.items():
        if noun not in items and len(shares) > 1:
            yield from ((k, p, n, s, f) for k, p, n, s, f in _shares(noun, "", shares, True))


def _shares(name: str, line: str, shares: list[tuple[float, str, str]], rest: bool) -> Found:
    total = sum(s for s, _, _ in shares)
    said = " and ".join(w for _, w, _ in shares)
    if total > 1.001:
        yield ("divided", "step", shares[-1][2], f"The parts of the {name} don't add up: {said} are more than the whole.",
               "Change one of the parts.")
    elif len(shares) > 1 and total < 0.999 and not rest:
        yield ("divided", "step", shares[-1][2], f"The parts of the {name} don't add up: {said} leave some over.",
               "Say what happens to the rest.")


def _parts(name: str, line: str, parts: list[tuple[float, str, str]], shares: list[tuple[float, str, str]], rest: bool, listed: object) -> Found:
    if not parts:
        return
    grams = getattr(listed, "mass_g", None) if parts[0][1].lower() in ("g", "kg") else getattr(listed, "volume_ml", None)
    if grams is None or any((p[1].lower() in ("g", "kg")) != (parts[0][1].lower() in ("g", "kg")) for p in parts):
        return
    total = sum(p[0] * (1000 if p[1].lower() in ("kg", "l") else 1) for p in parts)
    low, high = grams
    over = total + sum(s for s, _, _ in shares) * low > high * 1.02
    under = total < low * 0.98 and not rest and not shares and len(parts) > 1
    if over or under:
        said = " + ".join([*(words for _, words, _ in shares), *(f"{p[0]:g}" for p in parts)])
        total += sum(s for s, _, _ in shares) * low
        unit = "g" if parts[0][1].lower() in ("g", "kg") else "mL"
        yield ("divided", "step", parts[-1][2],
               f"The {name} doesn't add up: {said} = {total:g} {unit} in the method, {high:g} {unit} in the list ({quoted(line)}).",
               "Mend the list or the parts.")


def measures_agree(page: Page) -> Found:
    """Where a line gives its amount twice, the two agree: exactly between volumes or weights, within packing between a weight and a cup."""
    for item in page.items:
        amounts = amount_of_line(item.line.text)
        if len(amounts) < 2 or "+" in item.line.text or re.search(r"\bplus\b", item.line.text):
            continue
        says = _disagree(item.name, amounts[0], amounts[1], item.line.text)
        if says:
            yield "measures", "ingredient", item.line.text, says, "Weigh it, and mend the one that is wrong."


_GRAMS = {"g": 1.0, "kg": 1000.0, "oz": 28.349523125, "lb": 453.59237}
_SPOONS_AND_CUPS = ("tsp", "tbsp", "cup", "dessertspoon", "ml", "l", "cl", "dl", "fl_oz", "pint")
PACKED = 0.15       # beyond the table's own interval, for how a cook fills a cup (common practice, no source)


def _disagree(name: str, first: Measure, second: Measure, line: str) -> str | None:
    """The sentence for two measures of one amount that can't both be right, or none."""
    a, b = (_grams_or_span(m) for m in (first, second))
    if a is None or b is None:
        return _piece_disagrees(name, first, second)
    (kind_a, low_a, high_a), (kind_b, low_b, high_b) = a, b
    if kind_a == kind_b:
        if high_a < low_b * 0.94 or low_a > high_b * 1.06:
            return f"The two measures of {quoted(name)} don't agree: {quoted(line)}."
        return None
    from proofpan.science.foods import density_g_per_ml

    density = density_g_per_ml(name)
    if density is None:
        return None
    weight, volume = (a, b) if kind_a == "g" else (b, a)
    low, high = volume[1] * density[1] * (1 - PACKED), volume[2] * density[2] * (1 + PACKED)
    if weight[2] >= low and weight[1] <= high:
        return None
    words = first if kind_a == "ml" else second
    return (f"The weight and the measure of {quoted(name)} don't agree: {fraction_text(words.low)} {words.word or words.unit} weighs about "
            f"{low / (1 - PACKED):.0f}–{high / (1 + PACKED):.0f} g, not {weight[1]:g} g.")


def _grams_or_span(measure: Measure) -> tuple[str, float, float] | None:
    """("g", low, high) of a weight, ("ml", low, high) over the countries of a volume, none of a count."""
    from proofpan.science.measures.countries import span_ml, unit_ml

    if measure.unit in _GRAMS:
        return "g", measure.low * _GRAMS[measure.unit], measure.high * _GRAMS[measure.unit]
    if measure.unit not in _SPOONS_AND_CUPS:
        return None
    one = unit_ml(measure.unit, "metric") if measure.unit in ("ml", "l", "cl", "dl") else None
    span = (one, one) if one is not None else span_ml(measure.unit)
    return None if span is None else ("ml", measure.low * span[0], measure.high * span[1])


def _piece_disagrees(name: str, first: Measure, second: Measure) -> str | None:
    """A count against a weight: eggs within what is sold, anything else only where it is far beyond its kind."""
    from proofpan.science.foods import mass_g

    if first.unit != "each" or second.unit not in _GRAMS or not first.high:
        return None
    each = second.high * _GRAMS[second.unit] / first.high
    usual = mass_g(name, 1, "medium") or mass_g(name, 1, "each")
    if usual is None:
        return None
    low, high = (35.0, 80.0) if re.search(r"\beggs?\b", name, re.I) else (usual[1] / 3, usual[2] * 3)
    if low <= each <= high:
        return None
    return f"The count and the weight of {quoted(name)} don't agree: {each:.0f} g each, where one weighs about {usual[0]:.0f} g."
