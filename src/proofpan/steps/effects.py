"""Answers: each option against another, for each attribute, averaged over what else varies and at the version to publish."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from proofpan.study.ballots import OVERALL
from proofpan.study.brief import Brief, Factor
from proofpan.study.verdict import AVERAGED, NOT_SETTLED, EffectRow
from proofpan.study.versions import Version, current

if TYPE_CHECKING:
    from proofpan.science.versions import Posterior
    from proofpan.steps.judged import Judged


def effect_rows(judged: Judged, fits: Mapping[str, Posterior]) -> tuple[EffectRow, ...]:
    """A row an answer: overall first, then overall as asked, then the attributes in their order."""
    names = [n for n in (OVERALL, "overall, asked") if n in fits]
    names += [a.name for a in judged.study.attributes]
    only = judged.study.attributes[0].name if len(judged.study.attributes) == 1 else None
    found: dict[str, list[EffectRow]] = {}
    for name in names:
        found[name] = _same_rows(judged, name, found[OVERALL]) if name == only else list(_rows(judged, name, fits[name]))
    return tuple(row for rows in found.values() for row in rows)


def _same_rows(judged: Judged, name: str, overall: list[EffectRow]) -> list[EffectRow]:
    """The only attribute's rows: the overall ones, but for prices, which are the attribute's `worth` there."""
    out = []
    for row in overall:
        if row.at != AVERAGED:
            continue
        factor = judged.study.brief.factor(row.factor)
        if row.asks != "worth it" or factor is None:
            out.append(row.model_copy(update={"attribute": name}))
            continue
        unit, worth = _unit_and_worth(judged, name)
        pairs = pairs_of_versions(judged, factor, row.option, row.against)
        answer = _answer(judged, judged.posterior, _weights(judged, pairs), row.asks, worth, worth)
        out.append(_row(judged, name, row.factor, row.option, row.against, AVERAGED, row.asks, answer, unit, worth, worth))
    return out


def _rows(judged: Judged, name: str, posterior: Posterior) -> Iterator[EffectRow]:
    brief = judged.study.brief
    unit, worth = _unit_and_worth(judged, name)
    chosen = judged.decision.publish if judged.decision.publish is not None else judged.decision.best
    for factor in judged.study.factors:
        for option, against, asks in questions(brief, factor):
            pairs = pairs_of_versions(judged, factor, option, against)
            if not pairs:
                continue
            price = _price(judged, name, factor, option, asks, worth)
            averaged = _answer(judged, posterior, _weights(judged, pairs), asks, worth, price)
            row = _row(judged, name, factor.name, option, against, AVERAGED, asks, averaged, unit, worth, price)
            yield row
            at = [p for p in pairs if chosen in p]
            if name == OVERALL and at and len(pairs) > 1:
                here = _answer(judged, posterior, _weights(judged, at[:1]), asks, worth, price)
                second = _row(judged, name, factor.name, option, against, str(_shown(judged, chosen)), asks, here, unit, worth,
                              price)
                if changes_the_answer(row, second):
                    yield second
    for pair in brief.pairs:
        yield from _pair_rows(judged, name, posterior, dict(pair.options), pair.asks, pair.price, unit, worth)


def _shown(judged: Judged, index: int) -> Version:
    return current(judged.study.brief, judged.cooked.versions[index])


def changes_the_answer(averaged: EffectRow, here: EffectRow) -> bool:
    """Whether the version to publish has another answer than the average, or would have one do otherwise today."""
    if averaged.asks == "best":
        return averaged.outcome != here.outcome or averaged.option != here.option
    bar = averaged.price if averaged.asks == "worth it" else -averaged.worth
    return averaged.outcome != here.outcome or (averaged.difference > bar) != (here.difference > bar)


def questions(brief: Brief, factor: Factor) -> list[tuple[str, str, str]]:
    """(option, against, asks): every pair where the best is asked, else each option against the plain one."""
    kept = [o for o in factor.kept]
    plain = next((o for o in kept if o.name == factor.plain.name), kept[0])
    best = [o for o in kept if factor.asks_of(o.name) == "best" or o is plain]
    out = []
    if factor.asks == "best" or any(o.asks == "best" for o in kept):
        out += [(a.name, b.name, "best") for i, b in enumerate(best) for a in best[i + 1 :]]
    for option in kept:
        asks = factor.asks_of(option.name)
        if option is not plain and asks != "best":
            out.append((option.name, plain.name, asks))
    return out


def pairs_of_versions(judged: Judged, factor: Factor, option: str, against: str) -> list[tuple[int, int]]:
    """Pairs of versions that differ only in this factor (and in what hangs on it) and can both be made."""
    cooked = judged.cooked
    hanging = {f.name for f in judged.study.brief.factors if any(o == factor.name for o, _ in f.when)}
    by_rest: dict[tuple[Any, ...], list[int]] = {}
    for i in range(cooked.candidates):
        version = cooked.versions[i]
        if version.get(factor.name) == against:
            by_rest.setdefault(_rest(version, factor.name, hanging), []).append(i)
    pairs = []
    for i in range(cooked.candidates):
        version = cooked.versions[i]
        if version.get(factor.name) == option:
            pairs += [(i, j) for j in by_rest.get(_rest(version, factor.name, hanging), ())]
    return pairs


def _rest(version: Version, factor: str, hanging: set[str]) -> tuple[Any, ...]:
    return tuple((k, v) for k, v in version.items() if k != factor and k not in hanging)


def _weights(judged: Judged, pairs: list[tuple[int, int]]) -> NDArray[np.float64]:
    out = np.zeros(len(judged.cooked.versions))
    for i, j in pairs:
        out[i] += 1 / len(pairs)
        out[j] -= 1 / len(pairs)
    return out


def _unit_and_worth(judged: Judged, name: str) -> tuple[float, float]:
    """(points per unit shown, `worth` in points) of an attribute."""
    attribute = next((a for a in judged.study.attributes if a.name == name), None)
    if attribute is None:
        return judged.unit, judged.worth
    return attribute.points_per_unit, attribute.worth * attribute.points_per_unit


def _price(judged: Judged, name: str, factor: Factor, option: str, asks: str, worth: float) -> float:
    """The price in points: the brief's on overall rows, the attribute's `worth` on its own."""
    if name not in (OVERALL, "overall, asked"):
        return worth if asks == "worth it" else 0.0
    found = factor.option(option)
    return 0.0 if found is None else judged.study.brief.price_of(factor, found) * judged.unit


class _Answer:
    """A difference with its odds and outcome, in points."""

    def __init__(self, judged: Judged, posterior: Posterior, weights: NDArray[np.float64], asks: str, worth: float,
                 price: float) -> None:
        from proofpan.science.versions import contrast, outcome

        level = judged.study.brief.level
        self.difference = contrast(posterior, weights)
        self.weights = weights
        self.outcome = outcome(asks, self.difference, worth, price, level)
        self.low, self.high = self.difference.interval(level if asks == "best" else 2 * level - 1)
        self.posterior = posterior


def _answer(judged: Judged, posterior: Posterior, weights: NDArray[np.float64], asks: str, worth: float,
            price: float) -> _Answer:
    return _Answer(judged, posterior, weights, asks, worth, price)


def _row(judged: Judged, name: str, factor: str, option: str, against: str, at: str, asks: str, answer: _Answer, unit: float,
         worth: float, price: float) -> EffectRow:
    mean, low, high = answer.difference.mean, answer.low, answer.high
    odds = answer.difference.odds_above(0.0)
    bar = price if asks == "worth it" else -worth if asks == "good enough" else worth
    over = answer.difference.odds_above(bar)
    if asks == "best" and mean < 0:
        option, against, mean, low, high, odds = against, option, -mean, -high, -low, 1 - odds
        over = 1 - answer.difference.odds_above(-worth)
    guessed = bool(judged.never_tasted(factor, option, against))   # what is usual elsewhere settles nothing here
    return EffectRow(
        attribute=name, factor=factor, option=option, against=against, at=at, asks=asks, difference=mean / unit, low=low / unit,
        high=high / unit, odds_better=odds, odds_over_worth=over,
        odds_over_worth_before=None if guessed or asks == "best" else _before(judged, answer.weights, bar), price=price / unit, worth=worth / unit,
        outcome=NOT_SETTLED if guessed else answer.outcome, needed=None if guessed else _needed(judged, answer, asks, worth, price),
    )


def _before(judged: Judged, weights: NDArray[np.float64], bar: float) -> float:
    """The odds of the same before anyone tasted: what the tastings add is the difference."""
    from proofpan.science.versions import contrast

    return contrast(judged.before, weights).odds_above(bar)


def _needed(judged: Judged, answer: _Answer, asks: str, worth: float, price: float) -> int | None:
    """About how many more trials would settle an open answer if the estimate holds."""
    from proofpan.science.versions import needed

    if answer.outcome != "not settled" or not len(judged.scores):
        return None
    trials = len({int(t) for t in judged.scores.trial})
    return needed(answer.posterior, answer.weights, asks, worth, price, trials)


def _pair_rows(judged: Judged, name: str, posterior: Posterior, options: dict[str, str], asks: str, price: float | None,
               unit: float, worth: float) -> Iterator[EffectRow]:
    """A named pair of options against the same version with both at their plain options."""
    brief, cooked = judged.study.brief, judged.cooked
    factors = [f for f in brief.factors if f.name in options]
    plain = {f.name: f.plain.name for f in factors}
    by_rest: dict[tuple[Any, ...], int] = {}
    names = set(options)
    for i in range(cooked.candidates):
        version = cooked.versions[i]
        if all(version.get(k) == v for k, v in plain.items()):
            by_rest[tuple((k, v) for k, v in version.items() if k not in names)] = i
    pairs = []
    for i in range(cooked.candidates):
        version = cooked.versions[i]
        if all(version.get(k) == v for k, v in options.items()):
            other = by_rest.get(tuple((k, v) for k, v in version.items() if k not in names))
            if other is not None and other != i:
                pairs.append((i, other))
    if not pairs:
        return
    cost = (worth if asks == "worth it" else 0.0) if price is None else price * unit
    answer = _answer(judged, posterior, _weights(judged, pairs), asks, worth, cost)
    factor = " × ".join(f.name for f in factors)
    option = ", ".join(options[f.name] for f in factors)
    against = ", ".join(plain[f.name] for f in factors)
    yield _row(judged, name, factor, option, against, AVERAGED, asks, answer, unit, worth, cost)
