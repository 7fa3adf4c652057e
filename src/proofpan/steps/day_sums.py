"""Amounts summed over a round's trials, and how a kitchen scale shows them."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from math import ceil

from proofpan.steps.caveats import test_batch_share
from proofpan.steps.day_tasks import DayWork
from proofpan.study.countries import measures_of
from proofpan.study.recipe import Ingredient
from proofpan.study.rounds import PlannedTrial
from proofpan.study.study import Study

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


@dataclass
class Sum:
    """An ingredient's amount over trials: grams, millilitres and pieces are kept apart; `loose` lines give no amount."""

    grams: float = 0.0
    millilitres: float = 0.0
    pieces: float = 0.0
    unit: str = ""
    loose: bool = False

    def add(self, line: Ingredient, by: float, country: str | None) -> None:
        """One trial's share of a line."""
        from proofpan.science.measures import parse_line

        parsed = parse_line(line.text, country)
        if parsed.mass_g is not None and None not in parsed.mass_g:
            self.grams += by * sum(parsed.mass_g) / 2
        elif parsed.volume_ml is not None and None not in parsed.volume_ml:
            self.millilitres += by * sum(parsed.volume_ml) / 2
        elif parsed.low is not None:
            self.pieces += by * (parsed.low + (parsed.high or parsed.low)) / 2
            self.unit = parsed.unit if parsed.unit and parsed.unit != "each" else ""
        else:
            self.loose = True

    @property
    def known(self) -> bool:
        """Whether there is an amount at all."""
        return bool(self.grams or self.millilitres or self.pieces)

    def times(self, number: int) -> Sum:
        """So many of it."""
        return Sum(self.grams * number, self.millilitres * number, self.pieces * number, self.unit, self.loose)

    def words(self, *, whole: bool = False, yields: float = 1.0) -> str:
        """`1.2 kg`, `12 mL`, `3`; whole pieces and amounts as purchased for a shopping list."""
        parts = [amount_words(self.grams / yields, "g", "kg") if self.grams else "",
                 amount_words(self.millilitres / yields, "mL", "L") if self.millilitres else ""]
        if self.pieces:
            count = str(ceil(round(self.pieces, 6))) if whole else piece_words(self.pieces)
            parts.append(f"{count} {self.unit}".strip())
        return " + ".join(p for p in parts if p) or "as needed"


def batch_of(study: Study, trial: PlannedTrial) -> float:
    """How much of the recipe a trial makes."""
    return 1.0 if trial.size == "full" else test_batch_share(study)


def sums_of(study: Study, trials: Iterable[PlannedTrial], work: DayWork) -> tuple[dict[str, Sum], dict[str, Ingredient]]:
    """Amounts over trials, by ingredient."""
    country = measures_of(study.brief.kitchen.country)
    sums: dict[str, Sum] = {}
    lines: dict[str, Ingredient] = {}
    for trial in trials:
        recipe = work.recipes.get(trial.trial)
        for line in recipe.ingredients if recipe is not None else ():
            key = line.item.casefold()
            sums.setdefault(key, Sum()).add(line, batch_of(study, trial), country)
            lines.setdefault(key, line)
    return sums, lines
