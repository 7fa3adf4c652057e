"""A recipe as a reader gets it: lines, steps, allergens, cautions, nutrition and cost, worked out and ready to be set or spoken."""

from __future__ import annotations

from proofpan.study.fields import Doc

_LABEL = {"energy_kj": "energy", "energy_kcal": "energy"}
_UNIT = {"energy_kj": "kJ", "energy_kcal": "kcal", "calories": "", "sodium": "mg"}


class RecipeLine(Doc):
    """One ingredient line: in words, in grams (low, high), as it was written, and where it comes from."""

    text: str
    item: str
    grams: tuple[float, float] | None = None
    written: str = ""
    status: str = "worked out"
    group: str | None = None
    note: str = ""
    allergens: tuple[str, ...] = ()

    @property
    def parts(self) -> tuple[str, str, str, str]:
        """(amount, its other measure, item, what follows), as far as they can be told apart; else all of it as the item."""
        at = self.text.casefold().find(self.item.casefold())
        if at < 0:
            return "", "", self.text, ""
        end = at + len(self.item)
        amount, item, after = self.text[:at].strip(), self.text[at:end], self.text[end:].strip()
        bracket = amount.find("(")
        more = amount[bracket:].strip("() ") if bracket > 0 else ""
        return amount[:bracket].strip() if more else amount, more, item, after


class RecipeStep(Doc):
    """One step: in words, with its times."""

    id: str
    text: str
    do: str
    minutes: tuple[float, float] | None = None
    until: str | None = None
    status: str = "worked out"
    hands: float | None = None          # minutes of hands, and how they are known: said, waits, watched, works
    hands_by: str = ""


class RecipeNutrition(Doc):
    """Label figures per 100 g as eaten and per serve, rounded by the EU's or the US's rules (`rules`; the other's in `others`).

    `weight_percent` is the cooked weight of what went in (value, low, high), and `basis` says how that is known. `missing` names what
    has no figures, so that the sums are at least so much.
    """

    per_100_g: tuple[tuple[str, str], ...] = ()
    per_serve: tuple[tuple[str, str], ...] = ()
    missing: tuple[str, ...] = ()
    rules: str = "EU"
    others: tuple[tuple[tuple[str, str], ...], tuple[tuple[str, str], ...]] = ((), ())
    serve_g: float | None = None
    weight_percent: tuple[float, float, float] | None = None
    basis: str = ""
    notes: tuple[str, ...] = ()

    def ruled(self, rules: str) -> RecipeNutrition:
        """The same, rounded by "EU" or "US" rules."""
        if rules == self.rules or not self.others[0]:
            return self
        hundred, serve = self.others
        return self.model_copy(update={"per_100_g": hundred, "per_serve": serve, "rules": rules, "others": (self.per_100_g, self.per_serve)})

    @property
    def shown(self) -> tuple[tuple[str, str, str], ...]:
        """(what, per 100 g, per serve), each figure with its unit."""
        serve = dict(self.per_serve)
        return tuple((_LABEL.get(k, k), _with_unit(k, v), _with_unit(k, serve.get(k, ""))) for k, v in self.per_100_g)


def _with_unit(nutrient: str, figure: str) -> str:
    """A label's figure with its unit: EU figures and US ones are grams but for energy and sodium."""
    return f"{figure} {_UNIT.get(nutrient, 'g')}".strip() if figure else ""


class Cost(Doc):
    """Cost of a recipe; `missing` names what has no price, so that the sums are at least so much."""

    batch: float | None = None
    a_serve: float | None = None
    low: float | None = None
    high: float | None = None
    currency: str = ""
    missing: tuple[str, ...] = ()
    unread: tuple[str, ...] = ()        # price lines that can't be read, a sentence each
    limit: float | None = None          # what a serve may cost
    test_batch: float | None = None     # what one trial costs, where it makes less than the whole

    def times(self, factor: float) -> Cost:
        """The cost of a batch so many times as large; a serve costs what it cost."""
        def up(value: float | None) -> float | None:
            return None if value is None else value * factor

        return self.model_copy(update={"batch": up(self.batch), "low": up(self.low), "high": up(self.high)})


class ReaderRecipe(Doc):
    """A version's recipe in full. `factor` and `region` say how it was scaled and in whose measures it stands; none: as it was written."""

    title: str
    headnote: str | None = None
    makes: str | None = None
    serves: float | None = None
    tin: str | None = None
    equipment: tuple[str, ...] = ()
    lines: tuple[RecipeLine, ...]
    method: tuple[RecipeStep, ...] = ()
    allergens: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    blocks: tuple[str, ...] = ()
    nutrition: RecipeNutrition = RecipeNutrition()
    cost: Cost = Cost()
    notes: tuple[str, ...] = ()
    swapped: tuple[tuple[str, str], ...] = ()   # swaps of other kitchens and what came of them
    variations: tuple[str, ...] = ()
    make_ahead: str | None = None
    keeping: str | None = None
    credits: tuple[str, ...] = ()
    disclosure: str | None = None
    active_minutes: float | None = None
    total_minutes: float | None = None
    country: str | None = None
    region: str | None = None
    style: str | None = None
    headings: tuple[str, str, str] = ("Take", "Make", "You need")
    factor: float = 1.0
    diet: tuple[str, ...] = ()
    invented: bool = False
    version: str = ""
    allergen_note: str = ""             # what the version adds to or takes from the base's

    @property
    def ingredients(self) -> tuple[str, ...]:
        """The lines as text."""
        return tuple(line.text for line in self.lines)
