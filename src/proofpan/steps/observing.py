"""A study's trials and ballots as the arrays that the model over versions takes."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from proofpan.steps.elsewhere import compared_elsewhere, with_kitchens
from proofpan.study.ballots import OVERALL, Ballot
from proofpan.study.brief import Attribute, Brief
from proofpan.study.elsewhere import KitchenMark, weight_of_round
from proofpan.study.readings import INSTRUMENT
from proofpan.study.study import Study
from proofpan.study.trials import Trial
from proofpan.study.versions import Version, benchmark_of, complete, is_current

if TYPE_CHECKING:
    from proofpan.science.versions import Scores, VersionSpace

RANK_STEP = 1.2   # points on 0–10 that one standard normal step of a rank counts for
MIDDLE = 6.0
LEAST_WEIGHT = 1e-3   # what a weight of 0 comes to: such a mark says next to nothing


@dataclass(frozen=True, eq=False)
class Cooked:
    """Which version each trial is, and how it was laid out."""

    space: VersionSpace
    versions: tuple[Version, ...]
    index: Mapping[Version, int]
    candidates: int                      # the first so many versions can be made now; the rest were cooked before something was dropped
    trials: tuple[Trial, ...]            # cooked, in order
    of_trial: Mapping[tuple[int, int], int]
    eligible: NDArray[np.bool_]          # may be published: current and not bought in


def cooked_of(study: Study) -> Cooked:
    """The versions that can be made, those that were made, and which trial is which."""
    brief = study.brief
    current = study.versions()
    full = tuple(complete(brief, v) for v in current)
    trials = study.cooked
    made = {t.key: complete(brief, t.version) for t in trials}
    known = dict.fromkeys(full)
    extra = sorted({v for v in made.values() if v not in known}, key=str)
    versions = (*full, *extra)
    index = {v: i for i, v in enumerate(versions)}
    eligible = np.array([
        i < len(full) and is_current(brief, v) and not benchmark_of(brief, v) for i, v in enumerate(versions)
    ], dtype=bool)
    return Cooked(_space(brief, versions), versions, index, len(full), trials, {k: index[v] for k, v in made.items()}, eligible)


def _space(brief: Brief, versions: Sequence[Version]) -> VersionSpace:
    from proofpan.science.versions import VersionSpace

    ranks = [{o.name: i for i, o in enumerate(f.options)} for f in brief.factors]
    levels = np.array(
        [[r.get(v.get(f.name, ""), -1) for f, r in zip(brief.factors, ranks, strict=True)] for v in versions], dtype=np.int64
    ).reshape(len(versions), len(brief.factors))
    return VersionSpace(
        factors=tuple(f.name for f in brief.factors),
        options=tuple(tuple(o.name for o in f.options) for f in brief.factors),
        levels=levels,
        values=tuple(_numbers(f.options) for f in brief.factors),
        changed=tuple(f.changed for f in brief.factors),
        extras=tuple(all(f.asks_of(o.name) == "worth it" for o in f.options if o.name != f.plain.name) for f in brief.factors),
    )


def _numbers(options: Sequence[Any]) -> tuple[float, ...] | None:
    """Numeric options that may be interpolated: three or more different values."""
    values = [o.value for o in options]
    if len(values) < 3 or any(v is None for v in values) or len(set(values)) != len(values):
        return None
    return tuple(float(v) for v in values)


def active_ballots(study: Study) -> tuple[Ballot, ...]:
    """Ballots that count: of tasters who are still asked, of plates that didn't fail."""
    tasters = set(study.tasters)
    failed = {t.key for t in study.trial_records if t.failed}
    return tuple(b for b in study.ballot_records if b.taster in tasters and (b.round, b.trial) not in failed)


def ranked_points(ballots: Sequence[Ballot]) -> dict[tuple[Any, ...], float]:
    """Ranks within a set as points, by the expected order of a standard normal sample (Blom, 1958)."""
    from scipy.special import ndtri

    sets: dict[tuple[Any, ...], list[Ballot]] = {}
    for b in ballots:
        if b.rank is not None and b.score is None:
            sets.setdefault((b.round, b.taster, b.attribute, b.set, b.pass_), []).append(b)
    out: dict[tuple[Any, ...], float] = {}
    for members in sets.values():
        n = len(members)
        for b in members:
            place = sum(m.rank < b.rank for m in members) + (1 + sum(m.rank == b.rank for m in members)) / 2  # type: ignore[operator]
            out[b.key] = MIDDLE - RANK_STEP * float(ndtri((place - 0.375) / (n + 0.25)))
    return out


@dataclass(frozen=True, eq=False)
class Points:
    """One number a plate and taster, in points from 0 to 10, with what it hangs on."""

    ballots: tuple[Ballot, ...]
    points: NDArray[np.float64]
    error_sd: NDArray[np.float64] | None = None      # points; known error of what was measured
    elsewhere: tuple[KitchenMark, ...] = ()          # of kitchens that made more than one version


def attribute_points(study: Study, attribute: Attribute | None) -> Points:
    """One attribute's answers in points; None: overall, asked as itself."""
    name = OVERALL if attribute is None else attribute.name
    if attribute is not None and attribute.measured and study.reading_records:
        return measured_points(study, attribute)
    chosen = [b for b in active_ballots(study) if b.attribute == name]
    ranks = ranked_points(chosen)
    kept, points = [], []
    for b in chosen:
        if b.score is not None:
            kept.append(b)
            points.append(b.score if attribute is None else float(attribute.rescaled(b.score)))
        elif b.key in ranks:
            kept.append(b)
            points.append(ranks[b.key])
    return Points(tuple(kept), np.array(points, dtype=float))


def measured_points(study: Study, attribute: Attribute) -> Points:
    """A measured attribute's readings in points, each a plate of the instrument's with its own error.

    A reading on one piece without an error speaks for that piece: pieces are then taken to differ by `worth`.
    """
    rounds = {t.trial: t for t in study.trial_records}
    marks, points, errors = [], [], []
    for r in study.reading_records:
        trial = rounds.get(r.trial)
        if r.attribute != attribute.name or trial is None or trial.failed:
            continue
        marks.append(Ballot(round=trial.round, trial=r.trial, taster=INSTRUMENT, attribute=attribute.name, score=r.value))
        points.append(float(attribute.rescaled(r.value)))
        errors.append((attribute.worth if r.error_sd is None else r.error_sd) * attribute.points_per_unit)
    return Points(tuple(marks), np.array(points, dtype=float), np.array(errors, dtype=float))


def overall_points(study: Study) -> Points:
    """The weighted mean of the attributes a plate, where one is missing by what the others say of that plate."""
    attributes = study.attributes
    elsewhere = compared_elsewhere(study)
    if len(attributes) == 1:
        return replace(attribute_points(study, attributes[0]), elsewhere=elsewhere)
    per = [attribute_points(study, a) for a in attributes]
    means = [float(np.mean(p.points)) if len(p.points) else MIDDLE for p in per]
    weights = [a.weight for a in attributes]
    plates: dict[tuple[Any, ...], list[tuple[float, float, Ballot]]] = {}
    tasted = any(b.taster != INSTRUMENT for p in per for b in p.ballots)
    shared: dict[tuple[int, int], list[tuple[float, float, Ballot]]] = {}
    for p, mean, weight in zip(per, means, weights, strict=True):
        for b, x in zip(p.ballots, p.points, strict=True):
            if b.taster == INSTRUMENT and tasted:
                shared.setdefault((b.round, b.trial), []).append((weight, float(x) - mean, b))
                continue
            plates.setdefault((b.round, b.trial, b.taster, b.pass_), []).append((weight, float(x) - mean, b))
    middle = float(np.average(means, weights=weights))
    kept, points = [], []
    for key in sorted(plates):
        parts = plates[key] + shared.get(key[:2], [])
        kept.append(parts[0][2])
        points.append(middle + sum(w * d for w, d, _ in parts) / sum(w for w, _, _ in parts))
    return Points(tuple(kept), np.array(points, dtype=float), elsewhere=elsewhere)


def scores_of(study: Study, cooked: Cooked, points: Points, step: float | None = None) -> Scores:
    """Points as the model's rows: version, taster, trial, load, lot, tray, day, position and pass of each."""
    from proofpan.science.versions import make_scores, no_scores

    if not points.ballots:
        return no_scores()
    trials = {t.key: t for t in cooked.trials}
    rows = [trials[b.round, b.trial] for b in points.ballots]
    tasters = {t.name: i for i, t in enumerate(study.brief.tasters)} | {INSTRUMENT: len(study.brief.tasters)}
    trial_ids = {t.key: i for i, t in enumerate(cooked.trials)}
    loads = {k: i for i, k in enumerate(sorted({(t.round, t.load or 0) for t in cooked.trials}))}
    lots = {k: i for i, k in enumerate(sorted({t.lot for t in cooked.trials if t.lot}))}
    positions = served_positions(study)
    weight = np.array([max(weight_of_round(study.changes, t.round), LEAST_WEIGHT) for t in rows])
    scores = make_scores(
        version=[cooked.of_trial[t.key] for t in rows],
        score=points.points,
        taster=[tasters[b.taster] for b in points.ballots],
        trial=[trial_ids[t.key] for t in rows],
        load=[loads[t.round, t.load or 0] for t in rows],
        lot=[lots[t.lot] if t.lot else -1 for t in rows],
        tray=[-1 if t.tray is None else t.tray for t in rows],
        day=[day_of(t) for t in rows],
        position=[b.position - 1 if b.position else positions.get((b.round, b.trial, b.taster, b.pass_), -1)
                  for b in points.ballots],
        repeat=[b.pass_ - 1 for b in points.ballots],
        step=step, error_sd=points.error_sd, weight=weight if (weight < 1).any() else None,
    )
    return with_kitchens(study, cooked, scores, points.elsewhere)


def day_of(trial: Trial) -> int:
    """The day a trial was cooked: as recorded, else its round."""
    return trial.day if trial.day is not None else trial.round


def served_positions(study: Study) -> dict[tuple[int, int, str, int], int]:
    """Where in each taster's order a plate stood, from 0."""
    out: dict[tuple[int, int, str, int], int] = {}
    for round_ in study.rounds:
        places = {(o.taster, c): i for o in round_.serving for i, c in enumerate(o.codes)}
        for plate in round_.plates:
            where = places.get((plate.taster, plate.code))
            if where is not None:
                out[round_.number, plate.trial, plate.taster, plate.pass_] = where
    return out


def smallest_step(points: Points) -> float | None:
    """The smallest step that the scores are given in, when they are."""
    if len(points.points) < 4:
        return None
    doubled = np.round(points.points * 2, 9)
    if np.all(doubled == np.round(doubled)):
        return 1.0 if np.all(np.mod(doubled, 2) == 0) else 0.5
    return None


def number_in(text: str) -> float | None:
    """The first number in an amount."""
    match = re.search(r"\d+(?:[.,]\d+)?", text)
    return None if match is None else float(match.group().replace(",", "."))
