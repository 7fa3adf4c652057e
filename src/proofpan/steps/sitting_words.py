"""What a sitting says, at once, when it is closed: one sentence first, then what stands behind it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from proofpan.steps.panel_words import difference_words, just_right_words, odds_of_luck, preference_words, rank_words
from proofpan.study.sittings import Answer, Ask, PlateSet, Sitting
from proofpan.study.study import Study
from proofpan.study.words import capital, counted, joined, version_words

LIKED = 6  # of 9: from "like slightly" up


@dataclass(frozen=True)
class SittingResult:
    """The sentences, the first one the conclusion, and a row a plate: (version, figures)."""

    says: tuple[str, ...]
    rows: tuple[tuple[str, str], ...]
    answers: int


def sitting_result(study: Study, sitting: Sitting) -> SittingResult:
    """What the answers say, of tasters who are still asked and plates that didn't fail.

    Parameters: sitting, one of the study's.
    """
    failed = {t.trial for t in study.trial_records if t.failed}
    asked = set(study.tasters)
    sets = {(s.taster, s.code): s for s in sitting.sets if s.taster in asked and not {p.trial for p in s.plates} & failed}
    answers = [a for a in study.answers if a.sitting == sitting.number and (a.taster, a.code) in sets]
    if not answers:
        return SittingResult(("Nobody has answered, so there is nothing to say.",), (), 0)
    result = _MAKERS[sitting.kind](study, sitting, answers)
    return SittingResult(result.says, result.rows, len(answers))


def _names(study: Study, trials: Sequence[int]) -> dict[int, str]:
    """A version's words for each trial; the trial's number with them where a version was made twice."""
    words = {n: version_words(t.version) for n in trials if (t := study.trial(n)) is not None}
    return {n: f"{w} (trial {n})" if sum(x == w for x in words.values()) > 1 else w for n, w in words.items()}


def _right(study: Study, sitting: Sitting, answers: Sequence[Answer]) -> SittingResult:
    """Triangle, duo-trio, two out of five."""
    from proofpan.science.panels import discrimination_test

    right = sum(tuple(c for c, _ in a.marks) == _set(sitting, a).right for a in answers)
    method = {"two out of five": "two-out-of-five"}.get(sitting.kind, sitting.kind)
    test = discrimination_test(method, right, len(answers), alternative="greater")
    names = list(_names(study, sitting.trials).values())
    says = [f"{capital(joined(names))}: {difference_words(test)}", *_again(answers)]
    if test.minimum_correct is None:
        says.append(f"{counted(len(answers), 'answer')} can’t tell, even all right: ask more.")
    return SittingResult(tuple(says), (), len(answers))


def _again(answers: Sequence[Answer]) -> list[str]:
    people = len({a.taster for a in answers})
    if people == len(answers):
        return []
    if people == 1:
        return ["One taster answered: this speaks of that palate."]
    return [f"{counted(len(answers), 'answer')} of {counted(people, 'taster')} are counted as if each came from somebody else."]


def _set(sitting: Sitting, answer: Answer) -> PlateSet:
    found = sitting.set_of(answer.taster, answer.code)
    assert found is not None
    return found


def _preference(study: Study, sitting: Sitting, answers: Sequence[Answer]) -> SittingResult:
    from proofpan.science.panels import PanelError, bradley_terry, discrimination_test

    trials = sorted(sitting.trials)
    names = _names(study, trials)
    wins = np.zeros((len(trials), len(trials)))
    for a in answers:
        plates = {p.code: p.trial for p in _set(sitting, a).plates}
        won = plates.pop(a.marks[0][0])
        (lost,) = plates.values()
        wins[trials.index(won), trials.index(lost)] += 1
    rows = tuple((capital(names[t]), f"preferred {int(wins[i].sum())} of {int(wins[i].sum() + wins[:, i].sum())} times") for i, t in enumerate(trials))
    if len(trials) == 2:
        first = int(wins[1, 0] > wins[0, 1])
        count, n = int(wins[first, 1 - first]), len(answers)
        test = discrimination_test("paired", count, n, alternative="two-sided")
        share = f"{round(100 * test.low)} to {round(100 * test.high)} in 100"
        one, other = names[trials[first]], names[trials[1 - first]]
        if test.p <= 0.05:
            head = f"{capital(one)} is preferred to {other}: {count} of {n} ({share} would). {odds_of_luck(test.p)}"
        else:
            head = f"{count} of {n} prefer {one} to {other}: that doesn’t settle it ({share} would). {odds_of_luck(test.p)}"
        return SittingResult((head, *_again(answers)), rows, n)
    try:
        head = preference_words(bradley_terry(wins), [names[t] for t in trials])
    except PanelError:
        most = [names[t] for i, t in enumerate(trials) if wins[i].sum() == wins.sum(axis=1).max()]
        verb = "is" if len(most) == 1 else "are"
        head = f"{capital(joined(most))} {verb} preferred most often; one of the plates always won or always lost, so no further figure can be given yet."
    return SittingResult((head, *_again(answers)), rows, len(answers))


def _ranking(study: Study, sitting: Sitting, answers: Sequence[Answer]) -> SittingResult:
    """Ranks of everybody who had all plates; those with fewer are said, not mixed in."""
    from proofpan.science.panels import friedman, rank_differences

    trials = sorted(sitting.trials)
    names = _names(study, trials)
    table, short = [], 0
    for a in answers:
        places = {p.trial: dict(a.marks)[p.code] for p in _set(sitting, a).plates}
        if len(places) < len(trials):
            short += 1
            continue
        table.append([-places[t] for t in trials])  # a smaller place is better
    return _ranked(table, [names[t] for t in trials], short, friedman, rank_differences)


def _ranked(table: list[list[float]], names: list[str], short: int, friedman: Callable[..., Any], rank_differences: Callable[..., Any]) -> SittingResult:
    notes = [f"{counted(short, 'taster')} had not all plates, so {'isn’t' if short == 1 else 'aren’t'} counted in the order."] if short else []
    if len(table) < 2:
        if not table:
            return SittingResult(("Nobody had all the plates, so no order can be given.", *notes), (), short)
        order = [names[i] for i in np.argsort(-np.array(table[0]), kind="stable")]
        one = f"One taster’s order: {', then '.join(order)}. One order alone can’t be told from luck."
        return SittingResult((one, *notes), (), 1)
    result = friedman(np.array(table))
    says = rank_words(result, names, rank_differences(np.array(table)) if len(names) > 2 else None)
    mean = np.asarray(result.rank_sums) / len(table)
    place = len(names) + 1 - mean  # 1 is best
    rows = tuple((capital(names[i]), f"mean place {place[i]:.1f} of {len(names)}") for i in np.argsort(place, kind="stable"))
    return SittingResult((says, *notes), rows, len(table) + short)


def _scores(sitting: Sitting, answers: Sequence[Answer], ask: Ask) -> dict[int, dict[str, float]]:
    """{trial: {taster: mark}}."""
    out: dict[int, dict[str, float]] = {t: {} for t in sorted(sitting.trials)}
    for a in answers:
        out[_set(sitting, a).plates[0].trial][a.taster] = dict(a.marks)[ask.name]
    return {t: marks for t, marks in out.items() if marks}


def _mean_words(values: Sequence[float], ask: Ask, scale: str) -> str:
    """A mean with its range, which ends where the scale does: few answers give an interval that goes far beyond it."""
    from proofpan.science.panels import mean_score

    found = mean_score(list(values))
    spread = "one mark"
    if found.low is not None and found.high is not None:
        spread = f"{max(ask.low, found.low):.1f} to {min(ask.high, found.high):.1f}"
    return f"{found.mean:.1f}{scale} ({spread})".replace("-", "−")


def _apart(names: dict[int, str], scores: dict[int, dict[str, float]], unit: str) -> str:
    """Two plates by their difference within tasters; more by the order in which tasters put them."""
    from proofpan.science.panels import friedman, paired_difference, rank_differences

    trials = list(scores)
    both = sorted(set.intersection(*(set(scores[t]) for t in trials)))
    if len(trials) < 2 or len(both) < 2:
        return "Too few tasters marked all the plates to tell more: two at least are needed."
    table = np.array([[scores[t][name] for t in trials] for name in both])
    if len(trials) > 2:
        return rank_words(friedman(table), [names[t] for t in trials], rank_differences(table))
    order = (0, 1) if table[:, 0].mean() >= table[:, 1].mean() else (1, 0)
    found = paired_difference(table[:, order[0]], table[:, order[1]])
    one, other = names[trials[order[0]]], names[trials[order[1]]]
    if found.low is None or found.high is None or found.p is None:
        return f"{capital(one)} lies {abs(found.difference):.1f} {unit} above {other} for everybody alike, so no range can be given."
    spread = f"{found.low:.1f} to {found.high:.1f}".replace("-", "−")
    head = f"{capital(one)} over {other} by {found.difference:.1f} {unit} ({spread})"
    return f"{head}. {odds_of_luck(found.p)}" if found.p <= 0.05 else f"{head}: not settled. {odds_of_luck(found.p)}"


def _liking(study: Study, sitting: Sitting, answers: Sequence[Answer]) -> SittingResult:
    scores = _scores(sitting, answers, sitting.asks[0])
    names = _names(study, list(scores))
    rows = []
    for trial in sorted(scores, key=lambda t: -float(np.mean(list(scores[t].values())))):
        values = list(scores[trial].values())
        rows.append((capital(names[trial]), f"{_mean_words(values, sitting.asks[0], ' of 9')}; {sum(v >= LIKED for v in values)} of {len(values)} like it"))
    return SittingResult((_apart(names, scores, "steps of 9"),), tuple(rows), len(answers))


def _lines(study: Study, sitting: Sitting, answers: Sequence[Answer]) -> SittingResult:
    says, rows = [], []
    for ask in sitting.asks:
        scores = _scores(sitting, answers, ask)
        names = _names(study, list(scores))
        thing = ask.says.rstrip("?")
        says.append(f"{thing}: {_apart(names, scores, 'on 0 to 10')}")
        rows += [(f"{thing}, {names[t]}", _mean_words(list(scores[t].values()), ask, " of 10")) for t in scores]
    return SittingResult(tuple(says), tuple(rows), len(answers))


def _just_right(study: Study, sitting: Sitting, answers: Sequence[Answer]) -> SittingResult:
    from proofpan.science.panels import penalty_analysis

    liking, *things = sitting.asks
    liked = _scores(sitting, answers, liking)
    names = _names(study, list(liked))
    says, rows = [], []
    for ask in things:
        marks = _scores(sitting, answers, ask)
        for trial, given in marks.items():
            found = penalty_analysis([given[n] for n in given], [liked[trial][n] for n in given])
            says += [f"{capital(names[trial])}. {s}" if i == 0 else s for i, s in enumerate(just_right_words(found, ask.says.rstrip("?")))]
    for trial, values in liked.items():
        rows.append((capital(names[trial]), f"liked {_mean_words(list(values.values()), liking, ' of 9')}"))
    return SittingResult(tuple(says), tuple(rows), len(answers))


def _from_control(study: Study, sitting: Sitting, answers: Sequence[Answer]) -> SittingResult:
    """Each plate against the hidden control, so that what tasters see in nothing is taken off."""
    from proofpan.science.panels import paired_difference

    scores = _scores(sitting, answers, sitting.asks[0])
    names = _names(study, list(scores))
    hidden = scores.get(sitting.control or 0, {})
    others = [t for t in scores if t != sitting.control]
    says = []
    for trial in others:
        both = sorted(set(scores[trial]) & set(hidden))
        if len(both) < 2:
            says.append(f"{capital(names[trial])}: too few tasters marked it and the hidden control; two at least are needed.")
            continue
        level = 1 - 0.05 / len(others)
        found = paired_difference([scores[trial][n] for n in both], [hidden[n] for n in both], level)
        if found.low is None or found.high is None or found.p is None:
            says.append(f"{capital(names[trial])} is marked {found.difference:.1f} steps further off than the control itself, by everybody alike: no range.")
            continue
        spread = f"{found.low:.1f} to {found.high:.1f}".replace("-", "−")
        size = f"{found.difference:.1f} steps of 6 ({spread})".replace("-", "−")
        if found.low > 0:
            says.append(f"{capital(names[trial])} differs from the control, by {size} beyond what is seen in the control itself.")
        else:
            says.append(f"{capital(names[trial])}: no difference from the control is shown, nor that they are alike; {size} beyond the control itself.")
    itself = {sitting.control: ", the control itself, hidden"}
    rows = [(capital(names[t]) + itself.get(t, ""), _mean_words(list(marks.values()), sitting.asks[0], " of 6")) for t, marks in scores.items()]
    return SittingResult(tuple(says), tuple(rows), len(answers))


_MAKERS: dict[str, Callable[[Study, Sitting, Sequence[Answer]], SittingResult]] = {
    "liking": _liking,
    "lines": _lines,
    "just right": _just_right,
    "ranking": _ranking,
    "preference": _preference,
    "triangle": _right,
    "duo-trio": _right,
    "two out of five": _right,
    "difference from control": _from_control,
}
