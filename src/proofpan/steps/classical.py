"""Classical designs, for those who know them: factorials and their fractions, screens, optimal and split-plot designs, incomplete blocks.

A table of trials with each factor's options by name, in a random order, and in words what the design can't tell apart. A study's own
rounds don't need one: they are chosen for what is still unknown.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np

from proofpan.steps.panel_words import design_words
from proofpan.study.errors import StudyError, did_you_mean, quoted
from proofpan.study.fields import Doc
from proofpan.study.words import capital, counted, joined

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from proofpan.science.designs import FractionalFactorial

KINDS = ("full", "fraction", "screen", "optimal", "blocks")
MODELS = {"main": "each factor by itself", "pairs": "pairs of factors too", "quadratic": "pairs and bends too"}
MOST_FACTORS, MOST_RUNS = 15, 256
ALIASES_SHOWN = 60


class Factor(Doc):
    """What varies, with its options in order."""

    name: str
    options: tuple[str, ...]


class ClassicalDesign(Doc):
    """A design: its sentences, the trials in the order to make them, and what stands for what."""

    kind: str
    says: tuple[str, ...]
    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    facts: tuple[tuple[str, str], ...] = ()
    aliases: tuple[tuple[str, str], ...] = ()

    def csv(self) -> str:
        """The trials as CSV text."""
        out = io.StringIO()
        writer = csv.writer(out, lineterminator="\n")
        writer.writerow(self.heads)
        writer.writerows(self.rows)
        return out.getvalue()


def read_factor(text: str) -> Factor:
    """`salt: little, much` (or with =); a name alone has the options − and +.

    Raises: StudyError for an empty name, one option, or an option twice.
    """
    name, _, rest = text.replace("=", ":", 1).partition(":")
    options = tuple(o.strip() for o in rest.split(",") if o.strip()) or ("−", "+")
    if not name.strip():
        raise StudyError(f"{quoted(text.strip() or ' ')} has no name: write it like salt: little, much.", field="factor")
    if len(options) < 2 or len(set(options)) < len(options):
        raise StudyError(f"{name.strip()} needs two different options or more, such as salt: little, much.", field="factor")
    return Factor(name=name.strip()[:60], options=options)


def full(factors: Sequence[Factor], seed: int = 0) -> ClassicalDesign:
    """Every combination once."""
    from proofpan.science import designs

    _check(factors, most=10)
    size = int(np.prod([len(f.options) for f in factors]))
    if size > MOST_RUNS:
        raise StudyError(f"Every combination would be {size:,} trials; take a fraction, a screen or fewer factors.", field="factor")
    found = designs.full_factorial([len(f.options) for f in factors])
    says = (f"{counted(found.runs, 'trial')}: every combination once, so everything can be told from everything else.",
            "Make some of them twice, or luck can't be told from what a factor does.")
    return _table("full", factors, found.table, says, (("trials", str(found.runs)),), seed)


def fraction(factors: Sequence[Factor], generators: Sequence[str] = (), runs: int = 0, seed: int = 0) -> ClassicalDesign:
    """A regular fraction of factors with two options each, by its generators, or the least aberrant one of so many runs.

    Parameters: generators, such as `D=ABC`, letters in the factors' order (I is left out); runs, a power of two, where none is given.
    Raises: StudyError for a factor with more than two options, generators that can't be read, or neither generators nor runs.
    """
    from proofpan.science import designs

    _check(factors, two=True)
    if bool(generators) == bool(runs):
        raise StudyError("Give either the generators, such as D=ABC, or the number of trials.", field="generators")
    try:
        found = designs.fractional_factorial(len(factors), list(generators)) if generators else designs.minimum_aberration(len(factors), runs)
    except designs.DesignError as error:
        raise StudyError(str(error), field="generators" if generators else "runs") from None
    if found.runs > MOST_RUNS:
        raise StudyError(f"That is {found.runs:,} trials; add generators.", field="generators")
    names = [f.name for f in factors]
    if not found.words:
        return full(factors, seed)
    facts = (("trials", str(found.runs)), ("resolution", _roman(found.resolution)), ("generators", ", ".join(found.generators)),
             ("defining words", ", ".join(found.defining_words[:12]) + (" …" if len(found.defining_words) > 12 else "")),
             ("letters", ", ".join(f"{_letter(i)} {n}" for i, n in enumerate(names))))
    return _table("fraction", factors, (found.design + 1) // 2, design_words(found, names), facts, seed, _aliases(found))


def screen(factors: Sequence[Factor], runs: int = 0, seed: int = 0) -> ClassicalDesign:
    """Plackett–Burman: many factors of two options in few trials.

    Parameters: runs, a multiple of 4; the least that holds the factors when left out.
    """
    from proofpan.science import designs

    _check(factors, two=True, most=47)
    runs = runs or 4 * (len(factors) // 4 + 1)
    try:
        found = designs.plackett_burman(runs, len(factors))
    except designs.DesignError as error:
        raise StudyError(str(error), field="runs") from None
    facts = (("trials", str(runs)), ("resolution", "none" if found.resolution is None else _roman(found.resolution)),
             ("correlations with pairs of others", ", ".join(f"{c:+.2f}".replace("-", "−") for c in found.main_with_other_pairs_correlation) or "none"))
    return _table("screen", factors, (found.design + 1) // 2, design_words(found), facts, seed)


def optimal(
    factors: Sequence[Factor], runs: int, model: str = "main", per_load: Sequence[str] = (), loads: int = 0, seed: int = 0
) -> ClassicalDesign:
    """The D-best design found by coordinate exchange; with factors changed per load, a split plot.

    Parameters: runs, in all; model, a key of MODELS; per_load, names of factors that stay as they are within a load; loads, how many.
    Raises: StudyError for too few runs, loads that don't divide them, or a name that isn't a factor.
    """
    from proofpan.science import designs

    _check(factors)
    if model not in MODELS:
        raise StudyError(f"{quoted(model)} isn't a model. {did_you_mean(model, list(MODELS))}", field="model")
    names = [f.name for f in factors]
    for name in per_load:
        if name not in names:
            raise StudyError(f"{quoted(name)} isn't a factor. {did_you_mean(name, names)}", field="per_load")
    if not 2 <= runs <= 64:
        raise StudyError(f"2 to 64 trials, not {runs}.", field="runs")
    if per_load and (loads < 2 or runs % loads):
        raise StudyError(f"{counted(runs, 'trial')} can't be spread evenly over {counted(loads, 'load')}: two loads or more that divide them.", field="loads")
    levels = [len(f.options) for f in factors]
    try:
        if per_load:
            hard = [names.index(n) for n in per_load]
            found = designs.d_optimal_split_plot(levels, hard, loads, runs // loads, model, seed=seed, starts=8)
        else:
            found = designs.d_optimal(levels, runs, model, seed=seed, starts=30)
    except designs.DesignError as error:
        raise StudyError(str(error), field="runs") from None
    facts = [("trials", str(runs)), ("tells", MODELS[model]), ("D-efficiency", f"{found.d_efficiency:.1f} in 100")]
    if not per_load:
        facts.append(("at most", f"{found.best_possible:.1f} in 100"))
    says = list(design_words(found))
    if per_load:
        says.append(f"{capital(joined(per_load))} {'stays' if len(per_load) == 1 else 'stay'} the same within a load, so loads count for it, not trials: "
                    "hold it against how loads differ.")
    skipped = [f.name for f in factors if len(f.options) > 2 and model != "quadratic"]
    if skipped:
        says.append(f"Options count as steps from the first to the last, and a straight line needs only the two ends of {joined(skipped)}: take "
                    "the quadratic model to use what lies between, or several factors of two options for things that have no order.")
    return _table("optimal", factors, found.table, says, facts, seed, loads=found.whole_plot)


def blocks(plates: int, in_each: int, tasters: int) -> ClassicalDesign:
    """Balanced incomplete blocks: more plates than a palate can take, each taster some, every pair equally often.

    Raises: StudyError for numbers no design can have.
    """
    from proofpan.science import designs

    if not (2 <= plates <= 50 and 1 <= in_each <= plates and 1 <= tasters <= 200):
        raise StudyError("2 to 50 plates, 1 to all of them for each of 1 to 200 tasters.", field="plates")
    try:
        found = designs.balanced_incomplete_blocks(plates, in_each, tasters)
        if found.blocks is not None:
            table, says = found.blocks, list(design_words(found))
            efficiency = found.efficiency_factor
        else:
            near = designs.incomplete_blocks(plates, in_each, tasters, seed=1)
            table, efficiency = near.blocks, near.balance.efficiency_factor
            says = [*design_words(found), f"The nearest found instead. {near.says}"]
    except designs.DesignError as error:
        raise StudyError(str(error), field="plates") from None
    facts = (("plates", str(plates)), ("for each taster", str(in_each)), ("tasters", str(tasters)),
             ("told, against all plates for everybody", "not balanced" if efficiency is None else f"{100 * efficiency:.0f} in 100"))
    rows = tuple((str(i + 1), *(str(int(p) + 1) for p in row)) for i, row in enumerate(table))
    return ClassicalDesign(kind="blocks", says=tuple(says), heads=("taster", *(f"plate {i + 1}" for i in range(in_each))), rows=rows, facts=facts)


def _check(factors: Sequence[Factor], two: bool = False, most: int = MOST_FACTORS) -> None:
    if not factors:
        raise StudyError("Name what varies, such as salt: little, much.", field="factor")
    if len(factors) > most:
        raise StudyError(f"{len(factors)} factors; at most {most} here.", field="factor")
    names = [f.name.casefold() for f in factors]
    twice = next((f.name for f in factors if names.count(f.name.casefold()) > 1), None)
    if twice:
        raise StudyError(f"{quoted(twice)} stands twice.", field="factor")
    odd = next((f for f in factors if two and len(f.options) != 2), None)
    if odd:
        raise StudyError(f"{odd.name} has {len(odd.options)} options; fractions and screens take two each, an optimal design takes more.", field="factor")


def _table(
    kind: str, factors: Sequence[Factor], levels: NDArray[np.int64], says: Sequence[str], facts: Sequence[tuple[str, str]], seed: int,
    aliases: Sequence[tuple[str, str]] = (), loads: NDArray[np.int64] | None = None,
) -> ClassicalDesign:
    """The trials in a random order; whole loads are kept together."""
    rng = np.random.default_rng(seed)
    order = rng.permutation(len(levels))
    heads = ["trial", *(["load"] if loads is not None else []), *(f.name for f in factors)]
    numbers = np.zeros(len(levels), dtype=int)
    if loads is not None:
        place = rng.permutation(int(loads.max()) + 1)
        numbers = place[loads]
        order = order[np.argsort(numbers[order], kind="stable")]
    rows = []
    for trial, i in enumerate(order, 1):
        load = [str(int(numbers[i]) + 1)] if loads is not None else []
        rows.append((str(trial), *load, *(f.options[int(k)] for f, k in zip(factors, levels[i], strict=True))))
    return ClassicalDesign(kind=kind, says=tuple(says), heads=tuple(heads), rows=tuple(rows), facts=tuple(facts), aliases=tuple(aliases))


def _aliases(found: FractionalFactorial) -> tuple[tuple[str, str], ...]:
    """Each effect up to pairs with the effects up to pairs (or, of main effects, up to threes) that it can't be told from."""
    if found.factors > 11:
        return ()
    listed = found.aliases(of_order=2, up_to_order=3 if found.factors <= 7 else 2)
    return tuple((effect, ", ".join(others)) for effect, others in listed.items() if others)[:ALIASES_SHOWN]


def _letter(index: int) -> str:
    from proofpan.science.designs.factorial import LETTERS

    return LETTERS[index]


def _roman(number: int | None) -> str:
    return {None: "full", 1: "I", 2: "II", 3: "III", 4: "IV", 5: "V", 6: "VI", 7: "VII", 8: "VIII"}.get(number, str(number))
