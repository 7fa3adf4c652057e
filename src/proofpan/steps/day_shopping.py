"""What to buy for a round: as purchased, in packs, by section, with its cost; and what the packs leave over."""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil

from proofpan.steps.costing import Price, pantry_key, prices_of
from proofpan.steps.day_film import film_batches
from proofpan.steps.day_sums import amount_words, is_egg, piece_words, pieces_words, sums_of
from proofpan.steps.day_tasks import DayWork
from proofpan.study.day import ListLine
from proofpan.study.equipment import Pack, pack
from proofpan.study.rounds import Round
from proofpan.study.study import Study
from proofpan.study.wording import figure, say
from proofpan.study.words import counted, joined

OTHER = "other"
AISLES = {
    "fruit and vegetables": ("vegetable", "fruit", "herb", "mushroom"),
    "meat and fish": ("meat", "poultry", "fish", "shellfish"),
    "dairy and eggs": ("dairy", "cheese", "egg", "fat"),
    "bread and pastry": ("bread", "pastry"),
    "flour, grain and pulses": ("flour", "grain", "legume", "pasta", "starch", "thickener", "leavening"),
    "nuts, seeds and dried fruit": ("nut", "seed", "dried fruit"),
    "sugar and sweet things": ("sugar", "syrup", "sweet", "chocolate", "flavouring"),
    "oil, vinegar and sauces": ("oil", "acid", "condiment", "stock"),
    "salt and spices": ("salt", "spice"),
    "drinks": ("drink", "alcohol", "water"),
}
SHELLED = ("nut", "seed")
TAP = "water"       # cold, warm or boiling it is there; sparkling water is bought
SECTIONS = {category: aisle for aisle, categories in AISLES.items() for category in categories}
LARGE = {"g": "kg", "mL": "L"}


@dataclass(frozen=True)
class Bought:
    """A line of the shopping list, what it leaves, and both their costs where a price is known."""

    line: ListLine
    over: ListLine | None = None
    cost: float | None = None
    cost_over: float = 0.0


def what_is_bought(study: Study, round_: Round, work: DayWork) -> tuple[Bought, ...]:
    """What to buy, summed over the trials and what is made for the camera, by section of the shop (water is there).

    As purchased = edible portion ÷ yield, the yield from the pantry; a line with a preparation after its comma ("carrots, peeled") is
    weighed before it, and stays. Where the kitchen says how a thing is packed, whole packs are bought; pieces are bought whole.
    """
    from proofpan.science.foods import look_up

    sums, lines = sums_of(study, [*((t, "") for t in round_.trials), *((b.trial, b.until) for b in film_batches(study))], work)
    sold_as = tuple(map(pack, study.brief.kitchen.packs))
    packs = {pantry_key(p.item): p for p in sold_as} | {p.item: p for p in sold_as}
    prices, currency = prices_of(study.brief.kitchen.prices)[0], study.brief.kitchen.currency or ""
    out = []
    for key, total in sums.items():
        line, food = lines[key], look_up(lines[key].item)
        if food is not None and food.key == TAP:
            continue
        share = (food.edible_portion_percent or 100.0) / 100 if food is not None else 1.0
        if food is not None and food.category in SHELLED:
            share = 1.0         # the pantry's yield is from the shell; the shop sells kernels
        trimmed = share < 1 and not line.prep and bool(total.grams)
        note = say("{amount} after trimming, {share:.0%} of it", amount=amount_words(total.grams, "g", "kg"), share=share) if trimmed else ""
        wanted, unit = _wanted(total.grams / (share if trimmed else 1.0), total.millilitres, total.pieces)
        known = pantry_key(lines[key].item)
        as_sold = packs.get(key) or packs.get(known)
        sold = in_the_list_s_unit(as_sold, unit, key)
        amount, bought = total.words(whole=True, yields=share if trimmed else 1.0), wanted
        if unit == "each":
            bought = float(ceil(round(wanted, 6)))
        if sold is not None and as_sold is not None:
            count = max(1, ceil(round(wanted / sold.size, 6)))
            bought = count * sold.size
            note = "; ".join(n for n in (say("{amount} needed", amount=amount), note) if n)
            amount = say("{packs} of {size}", packs=counted(count, "pack"), size=as_sold.said or _said(as_sold.size, as_sold.unit))
        each = one_costs(prices.get(key) or prices.get(known), unit, key, total.unit)
        cost = None if each is None else bought * each
        section = section_of(line.item)
        shown = ListLine(what=line.item, amount=amount, section=section, note=note, cost=_money(cost, currency))
        out.append(_with_rest(shown, wanted, bought, unit, each, currency, cost, total.unit))
    order = [*AISLES, OTHER]
    return tuple(sorted(out, key=lambda b: (order.index(b.line.section), b.line.what.casefold())))


def section_of(item: str) -> str:
    """The section of the shop: the pantry's, and of a thing that it doesn't know that of its last words ("wholemeal rye flour": flour)."""
    from proofpan.science.foods import look_up

    words = item.split(",")[0].split()
    for start in range(len(words)):
        food = look_up(" ".join(words[start:]))
        if food is not None and food.category in SECTIONS:
            return SECTIONS[food.category]
    return OTHER


def in_the_list_s_unit(sold: Pack | None, unit: str, item: str) -> Pack | None:
    """A pack measured as the list measures: a bottle of oil in grams, where its density is known; none where it can't be."""
    from proofpan.science.foods import density_g_per_ml

    if sold is None or sold.unit == unit:
        return sold
    density = density_g_per_ml(item)
    if density is None or {sold.unit, unit} != {"g", "mL"}:
        return None
    return Pack(sold.item, sold.size * density[0] if unit == "g" else sold.size / density[0], unit)


def one_costs(price: Price | None, unit: str, item: str, piece: str = "") -> float | None:
    """What one gram, millilitre or piece costs; none where the price can't be set beside the amount: a bunch's beside sprigs."""
    from proofpan.science.foods import density_g_per_ml

    if price is None or not unit:
        return None
    per = {"g": "g", "ml": "mL"}.get(price.per, "each")
    if per == unit:
        return price.one if unit != "each" or price.per == (piece or "each") else None
    density = density_g_per_ml(item)
    if density is None or {per, unit} != {"g", "mL"}:
        return None
    return price.one / density[0] if unit == "g" else price.one * density[0]


def _wanted(grams: float, millilitres: float, pieces: float) -> tuple[float, str]:
    """The amount in the one unit that it is all in; of several, none."""
    given = [(a, u) for a, u in ((grams, "g"), (millilitres, "mL"), (pieces, "each")) if a]
    return given[0] if len(given) == 1 else (0.0, "")


def _said(amount: float, unit: str) -> str:
    return piece_words(amount) if unit == "each" else amount_words(amount, unit, LARGE[unit])


def _money(cost: float | None, currency: str) -> str:
    return "" if cost is None else f"{figure(cost, '.2f')} {currency}".strip()


def _with_rest(line: ListLine, wanted: float, bought: float, unit: str, each: float | None, currency: str, cost: float | None, piece: str) -> Bought:
    """The line with what whole packs and pieces leave: 2.7 eggs are three bought."""
    rest = bought - wanted
    if not unit or rest <= 1e-6 * max(1.0, bought):
        return Bought(line, None, cost)
    note = say("{used} of {bought} used", used=_said(wanted, unit), bought=_said(bought, unit))
    note += f"; {say('beat and weigh to divide')}" if unit == "each" and is_egg(line.what) and abs(wanted - round(wanted)) > 1e-6 else ""
    amount = pieces_words(rest, piece) if unit == "each" else _said(rest, unit)
    over = ListLine(what=line.what, amount=amount, note=note, cost=_money(None if each is None else rest * each, currency))
    return Bought(line, over, cost, 0.0 if each is None else rest * each)


def cost_words(study: Study, bought: tuple[Bought, ...]) -> str:
    """What it all costs, how much of that is left over, and what has no price; empty without a price."""
    known = [b for b in bought if b.cost is not None]
    if not known:
        return ""
    currency = study.brief.kitchen.currency or ""
    missing = [b.line.what for b in bought if b.cost is None]
    over, cost = sum(b.cost_over for b in known), _money(sum(b.cost or 0.0 for b in known), currency)
    said = [say("It costs at least {cost}", cost=cost) if missing else say("It costs {cost}", cost=cost)]
    said += [say("{cost} of it left over", cost=_money(over, currency))] if over >= 0.005 else []
    named = joined([*missing[:4], *([say("{number} more", number=len(missing) - 4)] if len(missing) > 4 else [])])
    return ", ".join(said) + (f"; {say('no price for {things}', things=named)}" if missing else "") + "."
