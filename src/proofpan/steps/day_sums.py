"""Amounts summed over a round's trials, and how a kitchen scale shows them."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from math import ceil

from proofpan.steps.caveats import test_batch_share
from proofpan.steps.day_tasks import DayWork, method_of, names
from proofpan.steps.recipe_spoons import spoons_for
from proofpan.study.countries import measures_of
from proofpan.study.lines import as_many
from proofpan.study.recipe import Ingredient, Recipe
from proofpan.study.rounds import PlannedTrial
from proofpan.study.study import Study

SPOONS = ("tsp", "tbsp", "dessertspoon", "cup")
SPOONED, MOST_SPOONED = 0.02, 2000.0      # a spoon or cup is said where it is that near, up to so many millilitres
PARTS = {"½": 1 / 2, "⅓": 1 / 3, "⅔": 2 / 3, "¼": 1 / 4, "¾": 3 / 4}


def amount_words(amount: float, small: str, large: str) -> str:
    """`1.7 g`, `110 g`, `1.25 kg`: to what a kitchen scale shows."""
    if round(amount) >= 1000:
        return f"{amount / 1000:.2f}".rstrip("0").rstrip(".") + f" {large}"
    return f"{amount:.1f}".removesuffix(".0") + f" {small}" if amount < 20 else f"{amount:.0f} {small}"


def piece_words(pieces: float) -> str:
    """`3`, `⅔`, `1½`, else to two figures."""
    whole = int(pieces + 1e-6)
    part = next((sign for sign, size in PARTS.items() if abs(pieces - whole - size) < 0.01), "")
    return f"{whole or ''}{part}" if part else f"{pieces:.2g}" if pieces < 100 else f"{pieces:.0f}"


def pieces_words(pieces: float, unit: str) -> str:
    """`2¼ cloves`, `1 sprig`, `⅔` of what has no unit."""
    return f"{piece_words(pieces)} {as_many(unit, pieces)}".strip()


def is_egg(item: str) -> bool:
    """Whether a part of one is beaten and weighed."""
    return item.casefold().split()[-1] in ("egg", "eggs")


@dataclass
class Sum:
    """An ingredient's amount over trials: grams, millilitres and pieces are kept apart; `loose` lines give no amount.

    What a recipe measures in cups and spoons is weighed where its density is known: `spooned` is its volume in millilitres, within the grams;
    `country`, whose spoons they are.
    """

    grams: float = 0.0
    millilitres: float = 0.0
    pieces: float = 0.0
    unit: str = ""
    loose: bool = False
    spooned: float = 0.0
    mixed: bool = False     # some of the grams were written as such
    country: str | None = None

    def add(self, line: Ingredient, by: float, country: str | None) -> None:
        """One trial's share of a line."""
        from proofpan.science.measures import parse_line

        self.country = measures_of(country)
        parsed = parse_line(line.text, self.country)
        if parsed.mass_g is not None and None not in parsed.mass_g:
            self.grams += by * sum(parsed.mass_g) / 2
            self.mixed = True
        elif parsed.volume_ml is not None and None not in parsed.volume_ml:
            self._add_volume(line.item, by * sum(parsed.volume_ml) / 2, parsed.unit in SPOONS)
        elif parsed.low is not None:
            self.pieces += by * (parsed.low + (parsed.high or parsed.low)) / 2
            self.unit = parsed.unit if parsed.unit and parsed.unit != "each" else ""
        else:
            self.loose = True

    def _add_volume(self, item: str, millilitres: float, spooned: bool) -> None:
        from proofpan.science.foods import density_g_per_ml

        density = density_g_per_ml(item) if spooned else None
        if density is None:
            self.millilitres += millilitres
        else:
            self.grams += millilitres * density[0]
            self.spooned += millilitres

    @property
    def known(self) -> bool:
        """Whether there is an amount at all."""
        return bool(self.grams or self.millilitres or self.pieces)

    def times(self, number: int) -> Sum:
        """So many of it."""
        return replace(self, grams=self.grams * number, millilitres=self.millilitres * number, pieces=self.pieces * number, spooned=self.spooned * number)

    def words(self, *, whole: bool = False, yields: float = 1.0) -> str:
        """`1.2 kg`, `12 mL`, `12 g (2 tsp)`, `3`; whole pieces and amounts as purchased for a shopping list."""
        spooned = 0.0 if self.mixed else self.spooned / yields
        parts = [amount_words(self.grams / yields, "g", "kg") + self._spoons(spooned) if self.grams else "",
                 amount_words(self.millilitres / yields, "mL", "L") if self.millilitres else ""]
        if self.pieces:
            parts.append(pieces_words(ceil(round(self.pieces, 6)) if whole else self.pieces, self.unit))
        return " + ".join(p for p in parts if p) or "as needed"


    def _spoons(self, millilitres: float) -> str:
        """` (2½ cups)`, where spoons or cups hold just that and no more are to be filled than a cook counts."""
        fits = spoons_for(millilitres, self.country, SPOONED) if 0 < millilitres <= MOST_SPOONED else None
        return "" if fits is None else f" ({fits.text})"


def batch_of(study: Study, trial: PlannedTrial) -> float:
    """How much of the recipe a trial makes."""
    return 1.0 if trial.size == "full" else test_batch_share(study)


def taken_up(recipe: Recipe | None, step_id: str) -> list[Ingredient]:
    """The ingredients whose first mention is this step; what the method never names is weighed for its first step."""
    steps = method_of(recipe) if recipe is not None else ()
    if recipe is None or not steps:
        return list(recipe.ingredients) if recipe is not None else []
    found = []
    for line in recipe.ingredients:
        first = next((s.id for s in steps if names((s,), line.item, recipe)), steps[0].id)
        if first == step_id:
            found.append(line)
    return found


def reached(recipe: Recipe | None, until: str) -> tuple[str, ...]:
    """The steps of a batch that is made until one of them is done; all where none is named."""
    steps = tuple(s.id for s in method_of(recipe)) if recipe is not None else ()
    at = next((n for n, s in enumerate(steps) if s.casefold() == until.casefold()), len(steps))
    return steps[: at + 1]


def used_until(recipe: Recipe | None, until: str) -> list[Ingredient]:
    """What a recipe takes up until a step is done; all of it where none is named."""
    if not until:
        return list(recipe.ingredients) if recipe is not None else []
    return [line for step in reached(recipe, until) for line in taken_up(recipe, step)]


def sums_of(study: Study, batches: Iterable[tuple[PlannedTrial, str]], work: DayWork) -> tuple[dict[str, Sum], dict[str, Ingredient]]:
    """Amounts over trials, by ingredient. Parameters: batches, each trial with the step that it is made until, "" where it is made whole."""
    country = measures_of(study.brief.kitchen.country)
    sums: dict[str, Sum] = {}
    lines: dict[str, Ingredient] = {}
    for trial, until in batches:
        for line in used_until(work.recipes.get(trial.trial), until):
            key = line.item.casefold()
            sums.setdefault(key, Sum()).add(line, batch_of(study, trial), country)
            lines.setdefault(key, line)
    return sums, lines
