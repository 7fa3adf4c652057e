"""Scaling a line: amounts rounded as a kitchen rounds, within a bound; eggs to whole numbers with the error shown."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace

from proofpan.steps.observing import number_in
from proofpan.steps.recipe_spoons import nearest_spoons, said_error, scant_or_generous, spoons_for
from proofpan.study.lines import PLAIN_ERROR, Measure, amount_of_line, measures_in, rewritten, round_number, scale_line, written_number
from proofpan.study.wording import say

TIGHT, LOOSE = 0.03, 0.05        # bound on rounding: leavening and salt, everything else (common practice, no source)
_TIGHT_ITEMS = re.compile(r"\b(salt|baking powder|bicarbonate|baking soda|bicarb|yeast"
                          r"|gelatine|gelatin|agar|cream of tartar|ammonia|pectin)\b", re.I)
_EGG = re.compile(r"\beggs?\b(?![ -](?:noodles?|plants?|free|substitute|replacer))", re.I)
_FRYING = re.compile(r"\bfor (?:deep[- ]|shallow[- ])?frying\b", re.I)
_POT = re.compile(r"\b(?:for|to) (?:the )?(?:pot|boil(?:ing)?"
                  r"|cook(?:ing)? (?:the )?(?:pasta|potatoes|rice|beans|vegetables|eggs)|blanch(?:ing)?|pasta water"
                  r"|cooking water|the water)\b", re.I)
_GREASE = re.compile(r"\b(?:for|to (?:grease|dust|line|oil|butter)) (?:the )?"
                     r"(?:tins?|pans?|dish|tray|board|mould|bowl|baking|dusting|rolling|greasing)\b"
                     r"|\bto dust\b|\bfor (?:dusting|greasing|rolling|brushing)\b", re.I)


@dataclass(frozen=True)
class Scaled:
    """A scaled line: its words, what it costs to write it so, and whether it was left as it stood on purpose."""

    text: str
    note: str = ""
    kept: bool = False


def bound_of(item: str) -> float:
    """The rounding that an item bears, relative."""
    return TIGHT if _TIGHT_ITEMS.search(item) else LOOSE


def scaled_line(text: str, by: float, country: str | None, item: str = "", grams: float | None = None) -> Scaled:
    """The line with `by` times the amount, in whole eggs and spoons that exist.

    What follows the pan and not the batch stays: oil to fry in, the pot of water and its salt. A line without an amount, or one
    that isn't understood, stays as written.

    Parameters: country, whose spoons and cups these are; item, the line's ingredient; grams, what the scaled line weighs, for where
        no spoon holds the bound and the grams lead.
    """
    amounts = amount_of_line(text)
    if by == 1:
        return Scaled(text)
    if not amounts:
        return Scaled(text)
    if _FRYING.search(text):
        return Scaled(text, say("The oil to fry in follows the pan, not the batch: fill no more than a third, and fry in more batches."), True)
    if _POT.search(text):
        return Scaled(text, say("Water for the pot and its salt stay as written, so that it is as salty as before: take a second pot rather "
                                "than a crowded one."), True)
    if amounts[0].unit == "each" and _EGG.search(text):
        return _eggs(text, amounts, by)
    if amounts[0].unit in SPOONS and amounts[0].low == amounts[0].high and all(m.unit in SPOONS for m in amounts):
        return _spooned(text, amounts, by, country, bound_of(item or text), grams)
    if amounts[0].unit in SPOONS and (both := _spooned_and_weighed(text, amounts, by, country, bound_of(item or text))) is not None:
        return both
    scaled = scale_line(text, by, country)
    greased = _GREASE.search(text) and not 0.7 <= by <= 1.5
    return Scaled(scaled, say("What is for the tin or the board follows the new tin: take as much as it needs.") if greased else "")


SPOONS = ("tsp", "tbsp", "cup")


def _spooned(text: str, amounts: list[Measure], by: float, country: str | None, bound: float, grams: float | None) -> Scaled:
    """Spoons within the bound; else grams, with the nearest spoon and its error behind them."""
    from proofpan.science.measures.countries import LOOSE as LOOSE_ML
    from proofpan.science.measures.countries import unit_ml

    ml = sum((m.low * (-1 if _taken_off(text, m) else 1)) * (unit_ml(m.unit, country) or LOOSE_ML[m.unit]) for m in amounts) * by
    if ml <= 0:
        return Scaled(text)
    rest = text[amounts[-1].end :]
    fits = spoons_for(ml, country, bound)
    if fits is not None:
        return Scaled(text[: amounts[0].start] + fits.text + rest)
    near, error = nearest_spoons(ml, country)
    leads = f"{round_number(grams, PLAIN_ERROR)} g" if grams else f"{round_number(ml, PLAIN_ERROR)} mL"
    return Scaled(f"{text[: amounts[0].start]}{_beside(leads, near, error)}{rest}")


def _beside(weight: str, spoons: str, error: float) -> str:
    return f"{weight} ({scant_or_generous(spoons, error)})"


def _spooned_and_weighed(text: str, amounts: list[Measure], by: float, country: str | None, bound: float) -> Scaled | None:
    """`1 cup (220 g)`: spoons that exist with the weight behind them; where none holds the bound the weight leads. None for another shape."""
    from proofpan.science.measures.countries import LOOSE as LOOSE_ML
    from proofpan.science.measures.countries import unit_ml

    if len(amounts) != 2 or any(m.low != m.high for m in amounts) or amounts[1].unit not in ("g", "ml", "mL"):
        return None
    spoons, weighed = amounts
    if text[spoons.end : weighed.start].strip() != "(" or not text[weighed.end :].startswith(")"):
        return None
    ml = spoons.low * (unit_ml(spoons.unit, country) or LOOSE_ML[spoons.unit]) * by
    weight = f"{round_number(weighed.low * by, PLAIN_ERROR)} {'g' if weighed.unit == 'g' else 'ml'}"
    fits, before, rest = spoons_for(ml, country, bound), text[: spoons.start], text[weighed.end + 1 :]
    if fits is not None:
        return Scaled(f"{before}{fits.text} ({weight}){rest}")
    near, error = nearest_spoons(ml, country)
    return Scaled(f"{before}{_beside(weight, near, error)}{rest}")


def _taken_off(text: str, measure: Measure) -> bool:
    return bool(re.search(r"(?:minus|less)\s*$", text[: measure.start], re.I))


def _eggs(text: str, amounts: list[Measure], by: float) -> Scaled:
    """Whole eggs, with how far they are from exact; where the line weighs them, what the exact weight is."""
    first = amounts[0]
    exact = (first.low + first.high) / 2 * by
    if exact <= 0:
        return Scaled(text)
    whole = max(1, round(exact))
    single = [replace(m, low=(m.low + m.high) / 2, high=(m.low + m.high) / 2) for m in amounts]
    line = rewritten(text, single, by * whole / exact, written_number)
    error = whole / exact - 1
    if abs(error) < 0.005:
        return Scaled(line)
    each = next((g for part, g in EGG_G.items() if part in text.casefold()), EGG_G["egg"])
    return Scaled(line, say("Eggs are whole: {whole} where {exact:.3g} would be exact, {error}; to be exact, beat them and weigh out about {all:.0f} g (one "
                            "taken as {each:g} g).", whole=whole, exact=exact, error=said_error(error), all=each * exact, each=each))


# a large egg without its shell, and its parts (USDA SR Legacy, NDB 01123, 01125, 01124: 50, 17 and 33 g)
EGG_G = {"yolk": 17.0, "white": 33.0, "egg": 50.0}
_IN_STEP = re.compile(r"\b(?:tin|pan|dish|bowl|pot|saucepan|jug|jar|casserole|basin|ramekin|mould|loaf"
                      r"|bucket|container|box|each|a piece|balls?|pieces)\b", re.I)
_PIECES = re.compile(r"\b(?:of|about|weighing)\s+(?:about\s+)?$", re.I)


def scaled_step(text: str, by: float, makes: str | None, country: str | None) -> str:
    """A step's words with the amounts of ingredients in it `by` times as large; sizes of tins and pieces, times and heat stay.

    Where the step cuts or rolls as many pieces as the recipe makes, that number grows too.
    """
    if by == 1:
        return text
    found = [m for m in measures_in(text) if m.unit in AMOUNT_UNITS and not _of_a_vessel(text, m) and not _PIECES.search(text[: m.start])]
    count = number_in(makes) if makes else None
    if count and count >= 2 and not re.match(rf"\D*{count:g}\s*(?:k?g|ml|l)\b", makes or "", re.I):
        found += [m for m in measures_in(text) if m.unit not in AMOUNT_UNITS and m.low == m.high == count
                  and re.match(r"\s*(?:even |equal |small |large |thin )*[a-z]{4,}", text[m.start :].lstrip("0123456789"))
                  and not re.match(r"[\d\s]*(?:batches|times|layers|stages)", text[m.start :])
                  and not re.search(r"gas(?: mark)?\s*$", text[: m.start], re.I)]
    out = text
    for measure in sorted(found, key=lambda m: m.start, reverse=True):
        out = rewritten(out, [measure], by, lambda v, u: written_number(v, u) if u in AMOUNT_UNITS else f"{v:.0f}")
    return out


AMOUNT_UNITS = frozenset(("g", "kg", "ml", "l", "cl", "dl", "oz", "lb", "fl_oz", "tsp", "tbsp", "cup", "dessertspoon", "pint", "quart"))


def _of_a_vessel(text: str, measure: Measure) -> bool:
    """`a 3 litre bowl`, `a 900 g loaf tin`: the size of a thing, not an amount."""
    after = text[measure.end : measure.end + 24]
    if re.match(r"\s*(?:\([^)]*\)\s*)?(?:of|the|\()", after, re.I):
        return False
    return bool(re.match(r"[\s-]*(?:[a-z]+\s+){0,2}" + _IN_STEP.pattern, after, re.I))
