"""Audit rules on amounts: divided amounts add up, minutes add up, what comes out was put in, weights and cups agree."""

from __future__ import annotations

import re
from collections.abc import Iterator

from proofpan.steps.audit_words import Page, mention, words_of
from proofpan.steps.observing import number_in
from proofpan.study.errors import quoted

Found = Iterator[tuple[str, str, str, str, str]]

FRACTION_WORDS = {"half": 0.5, "a third": 1 / 3, "one third": 1 / 3, "one-third": 1 / 3, "two thirds": 2 / 3, "two-thirds": 2 / 3,
                  "a quarter": 0.25, "one quarter": 0.25, "three quarters": 0.75, "three-quarters": 0.75, "½": 0.5, "⅓": 1 / 3, "⅔": 2 / 3,
                  "¼": 0.25, "¾": 0.75}
_PARTS = "|".join(sorted(map(re.escape, FRACTION_WORDS), key=len, reverse=True))
_REST = r"\b(?:rest of|remaining|remainder of|other half of|leftover|last of)\b"
NUMBER_WORDS = {"one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "seven": 7, "eight": 8, "nine": 9, "ten": 10, "twelve": 12}


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
            for m in re.finditer(rf"(\d+(?:[.,]\d+)?)\s*(g|kg|ml|mL|l|L)\s+(?:of\s+)?(?:the\s+)?{named}", step.do, re.I):
                if item.own or len(page.items) == 1 or " ".join(item.full) in " ".join(words_of(m[0])):
                    parts.append((float(m[1].replace(",", ".")), m[2], step.id))
            shares += [(FRACTION_WORDS[m[1].casefold()], m[1], step.id) for m in re.finditer(
                rf"(?<![\w-])({_PARTS})\s+(?:of\s+)?(?:the\s+)?{named}", step.do, re.I)]
            rest = rest or bool(re.search(rf"{_REST}\s+(?:the\s+)?{named}", step.do, re.I))
        yield from _shares(item.name, item.line.text, shares, rest)
        yield from _parts(item.name, item.line.text, parts, shares, rest, listed)


_PART_OF = re.compile(
    rf"(?<![\w-])(?P<part>{_PARTS})\s+(?:of\s+)?(?:the|your)\s+(?P<noun>[a-z]+)|\bthe other (?P<other>half|third|quarter)\b", re.I
)
_OTHER = {"half": 0.5, "third": 1 / 3, "quarter": 0.25}


def divided_between(page: Page) -> Found:
    """Parts of what the method itself made (a dough, a crumb) add up to the whole."""
    items = {w for item in page.items for w in item.telling}
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
    over = total > high * 1.02
    under = total < low * 0.98 and not rest and not shares and len(parts) > 1
    if over or under:
        said = " + ".join(f"{p[0]:g}" for p in parts)
        unit = "g" if parts[0][1].lower() in ("g", "kg") else "mL"
        yield ("divided", "step", parts[-1][2],
               f"The {name} doesn't add up: {said} = {total:g} {unit} in the method, {high:g} {unit} in the list ({quoted(line)}).",
               "Mend the list or the parts.")


_BATCHES = re.compile(r"\b(?:in\s+)?(\d+|" + "|".join(NUMBER_WORDS) + r")\s+batches\b", re.I)
_SPAN = re.compile(r"(\d+(?:[.,]\d+)?)(?:\s*(?:–|-|to)\s*(\d+(?:[.,]\d+)?))?\s*(?:minutes?|mins?)\b", re.I)


def minutes_add_up(page: Page) -> Found:
    """A step's minutes are those of its text, and the steps' minutes those of the whole."""
    for _, step in page.steps():
        spans = [(float(a), float(b or a)) for a, b in _SPAN.findall(step.do)]
        if step.minutes is None or not spans:
            continue
        low, high = sum(a for a, _ in spans), sum(b for _, b in spans)
        batches = _BATCHES.search(step.do)
        if batches:
            count = NUMBER_WORDS.get(batches[1].lower()) or int(batches[1])
            if not re.search(r"\bin all\b|\baltogether\b|\bin total\b", step.do, re.I):
                low, high = low * count, high * count
        expected = step.minutes
        if expected[1] < low * 0.85 - 0.5 or expected[0] > high * 1.15 + 0.5:
            said = f"{expected[0]:g}" if expected[0] == expected[1] else f"{expected[0]:g}–{expected[1]:g}"
            yield ("times", "step", step.id, f"The minutes of step {step.id} don't add up: its text comes to {low:g}–{high:g} minutes, "
                   f"and {said} are set down" + (f" ({batches[1]} batches)." if batches else "."), "Mend the text or the minutes.")
    total = page.recipe.total_minutes
    known = [s.minutes for s in page.recipe.method if s.minutes is not None]
    if total is not None and known and len(known) == len(page.recipe.method):
        low, high = sum(m[0] for m in known), sum(m[1] for m in known)
        if total < low * 0.5 or total > high * 1.5 + 5:
            yield ("times", "makes", "total_minutes", f"The total of {total:g} minutes isn't the sum of the steps' ({low:g}–{high:g}).",
                   "Add the steps up again.")


_INTO = re.compile(
    r"\b(?:into|in|out|form|make|shape|roll|cut|divide|portion)\s+(?:the\s+\w+\s+into\s+)?(\d+|" + "|".join(NUMBER_WORDS) + r")\s+"
    r"((?:equal |even |small |large |flat |round |thin )*)(\w+)(?P<tail>[^.;]{0,40})", re.I)
_EACH = re.compile(r"(?:of|about|weighing|each|at)\s+(?:about\s+)?(\d+(?:[.,]\d+)?)\s*g\b(?:\s+each)?", re.I)
_NOT_PIECES = {"minute", "hour", "min", "cm", "mm", "g", "ml", "batch", "tray", "bowl", "tin", "layer", "time", "sheet", "c", "degree", "part",
               "pan", "side", "turn", "fold", "third", "half", "second", "kg", "rack", "jar", "glas", "dishe", "dish", "tbsp", "tsp", "cup"}


def yields(page: Page) -> Found:
    """What the text cuts, rolls or divides into is what the recipe makes; no more comes out than went in."""
    makes = page.recipe.makes
    count = number_in(makes) if makes else None
    mass = _mass_in(page)
    if makes and count:
        yield from _too_much(makes, count, mass)
        counted = not re.search(r"\d\s*(?:g|kg|ml|l|litres?)\b", makes, re.I)
        for _, step in page.steps():
            if not counted:
                break
            for m in _INTO.finditer(step.do):
                number = NUMBER_WORDS.get(m[1].lower()) or int(m[1])
                noun = words_of(m[3])
                if not noun or noun[0] in _NOT_PIECES or number < 2 or m[3][0].isdigit():
                    continue
                if number != count and _same_thing(noun[0], makes):
                    yield ("yield", "step", step.id, f"Step {step.id} comes to {number} {m[3]}, and the recipe makes {quoted(makes)}.",
                           "Mend the yield or the number.")
                each = _EACH.search(m["tail"])
                if each and mass:
                    total = number * float(each[1].replace(",", "."))
                    if total > mass * 1.05 or total < mass * 0.75:
                        yield ("yield", "step", step.id, f"{number} × {each[1]} g are {total:g} g, and about {mass:.0f} g went in.",
                               "Weigh the pieces again.")


_PIECES = {"piece", "ball", "round", "slice", "portion", "square", "bar", "wedge", "strip", "disc", "disk", "cake", "bun", "roll", "patty",
           "log", "triangle", "finger", "serve", "serving"}


def _same_thing(noun: str, makes: str) -> bool:
    named = words_of(makes)
    return noun in named or noun in _PIECES


def _too_much(makes: str, count: float, mass: float | None) -> Found:
    found = re.search(r"(\d+(?:[.,]\d+)?)\s*(kg|g|l|L|litres?|mL|ml)\b", makes)
    if found is None or mass is None:
        return
    out = float(found[1].replace(",", ".")) * (1000 if found[2].lower() in ("kg", "l", "litre", "litres") else 1)
    if out > mass * 1.1:
        yield ("yield", "makes", "makes", f"The yield can't be: it makes {quoted(makes)}, more than the {mass / 1000:.2f} kg that go in.",
               "Weigh what comes out.")


def _mass_in(page: Page) -> float | None:
    """Grams of everything on the list, when most of it is known."""
    from proofpan.science.foods import density_g_per_ml, mass_g
    from proofpan.science.measures import parse_line

    total, unknown = 0.0, 0
    for item in page.items:
        parsed = parse_line(item.line.text)
        if parsed.mass_g is not None:
            total += sum(parsed.mass_g) / 2
        elif parsed.volume_ml is not None:
            density = density_g_per_ml(item.name)
            total += sum(parsed.volume_ml) / 2 * (density[0] if density else 1.0)
        elif parsed.low is not None and (piece := mass_g(item.name, parsed.low, parsed.size or "medium")) is not None:
            total += piece[0]
        else:
            unknown += 1
    return total if total and unknown <= 1 else None


def measures_agree(page: Page) -> Found:
    """Where a line gives a weight and a spoon or cup, the two agree within what packing explains."""
    from proofpan.science.foods import density_g_per_ml
    from proofpan.science.measures import parse_line
    from proofpan.science.measures.countries import span_ml

    for item in page.items:
        parsed = parse_line(item.line.text)
        if parsed.second is None or parsed.low is None:
            continue
        measures = [(parsed.low, parsed.high or parsed.low, parsed.unit or ""), parsed.second]
        weight = next((m for m in measures if m[2] in ("g", "kg")), None)
        volume = next((m for m in measures if m[2] in ("tsp", "tbsp", "cup", "ml", "l", "fl_oz", "dessertspoon")), None)
        density = density_g_per_ml(item.name)
        span = span_ml(volume[2]) if volume is not None else None
        if volume is not None and volume[2] in ("ml", "l"):
            span = (1.0, 1.0) if volume[2] == "ml" else (1000.0, 1000.0)
        if weight is None or volume is None or density is None or span is None:
            continue
        grams = (weight[0] * (1000 if weight[2] == "kg" else 1), weight[1] * (1000 if weight[2] == "kg" else 1))
        low, high = volume[0] * span[0] * density[1] * 0.85, volume[1] * span[1] * density[2] * 1.15
        if grams[1] < low or grams[0] > high:
            yield ("measures", "ingredient", item.line.text,
                   f"The weight and the spoons of {quoted(item.name)} don't agree: {volume[0]:g} {volume[2]} weighs about "
                   f"{low / 0.85:.0f}–{high / 1.15:.0f} g, not {grams[0]:g} g.", "Weigh it, and mend the one that is wrong.")
