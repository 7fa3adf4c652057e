"""A dry run: the study played on invented kitchens before anything is cooked."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import asdict, replace
from typing import TYPE_CHECKING, Any

import numpy as np

from proofpan.steps.limits import outside_of
from proofpan.steps.may_be_cooked import barred_of
from proofpan.steps.observing import Cooked, cooked_of
from proofpan.steps.plan_cost import Costing
from proofpan.steps.rounds import model_worth, places_of, points_per_score, prices_of
from proofpan.study.brief import MOST_PASSES
from proofpan.study.errors import StudyError, did_you_mean, quoted
from proofpan.study.fields import Doc
from proofpan.study.study import Study
from proofpan.study.words import counted, joined, odds, times

if TYPE_CHECKING:
    import pandas as pd

THIS_PLAN, HABIT, EVERY = "this plan", "one factor at a time", "every version"
MORE_TASTERS = "two more tasters"
MORE_TRIALS = "more rounds, fewer tasters"
TWICE = "each plate tasted once more"
HALF, HALF_AND_TWICE = "half as much at a time, twice as often", "half as much at a time, and tasted once more"
SAME_TRIALS = (HALF_AND_TWICE, TWICE, HALF)   # what can be had without a further trial, most telling first
OTHERS = 500     # kitchens in which other plans are played
LUCK = 0.5       # standard deviation, in one kitchen, of what one plan ends within `worth` less what another does
AS_MANY = 0.15   # tastings that differ by no more than this share are about as many
A_SITTING = 4    # plates that a palate takes at once when they are rich, fried, sweet or hot (common practice, no source)
PART = 125
TOLD_PART = 20   # where someone waits for word of it, the kitchens are played in smaller parts
CLUSTER_WAIT_S = 10
MOST_VERSIONS = 500
NEVER_PRINTED = 100.0  # points that a version which can't be published is priced at: more than any score makes up for


Tell = Callable[[int, int, str], None]   # kitchens played, of how many, under which plan


class PlayedPlan(Doc):
    """How one plan did, and what it takes."""

    plan: str
    trials: int
    tasters: int
    within_worth: float
    error: float
    expected_loss: float
    tastings: int = 0
    hands_h: float | None = None
    table_h: float = 0.0
    money: float | None = None


class Proposal(Doc):
    """The plan that does best with the same trials, as the study's `rounds` would say it."""

    plan: str
    loads: int
    at_most: int
    passes: int
    plates: int | None
    says: str


class DryRun(Doc):
    """What this kitchen can see, and how often each plan ends within `worth` of the best."""

    smallest_difference: float
    within_worth: float
    expected_loss: float
    habit_within_worth: float
    kitchens: int
    plans: tuple[PlayedPlan, ...]
    says: tuple[str, ...]
    proposal: Proposal | None = None

    def table(self) -> pd.DataFrame:
        """A row a plan."""
        import pandas as pd

        columns = ["plan", "trials", "tasters", "within_worth", "expected_loss", "error", "tastings", "hands_h", "table_h", "money"]
        return pd.DataFrame([[getattr(p, c) for c in columns] for p in self.plans], columns=columns)


class _Played:
    """Tells how many kitchens were played of all, and under which plan the next ones are."""

    def __init__(self, tell: Tell | None, total: int) -> None:
        self._tell, self._total, self._done, self._plan = tell, total, 0, ""
        self.part = PART if tell is None else TOLD_PART

    def begin(self, plan: str) -> None:
        self._plan = plan
        self.add(0)

    def add(self, kitchens: int) -> None:
        self._done += kitchens
        if self._tell is not None:
            self._tell(self._done, self._total, self._plan)


def dry_run(
    study: Study, kitchens: int = 500, seed: int = 0, cluster: str | None = None, effects: Mapping[str, float] | None = None,
    tell: Tell | None = None,
) -> DryRun:
    """Play the study on invented kitchens drawn from what is usual, or from what is stated.

    Parameters: kitchens, how many; seed; cluster, the address of a Dask scheduler that shares the work (the same numbers); effects,
        {factor: typical difference between two of its options}, in the overall score's units, in place of what is usual; "pairs": what a
        pair of options adds; tell, called as the work goes on with how many kitchens were played, of how many, and the plan at hand.

    Versions outside the commission's limits are neither cooked nor published, but for what a substitute is judged against.

    Raises: StudyError for a number of kitchens that can't be, too many versions to play, none within the limits, or an effect of nothing
        that varies.
    """
    if not 1 <= kitchens <= 100_000:
        raise StudyError("A dry run plays 1 to 100,000 kitchens.")
    if len(study.versions()) > MOST_VERSIONS:
        raise StudyError(f"A dry run plays up to {MOST_VERSIONS} versions; this study has {len(study.versions())}.")
    settings, costing = {**_settings(study), "effects": _stated(study, effects or {})}, Costing(study)
    few, others = min(kitchens, OTHERS), _other_plans(settings)
    played = _Played(tell, kitchens + few * len(others))
    played.begin(THIS_PLAN)
    parts = _parts(settings, kitchens, seed, cluster, played)
    results = _together(parts)
    unit = points_per_score(study)

    def row(result: dict[str, Any], changes: dict[str, Any]) -> PlayedPlan:
        tasters, passes = changes.get("tasters", settings["tasters"]), changes.get("passes", settings["passes"])
        took = costing.of(result["trials"], tasters, passes)
        return PlayedPlan(tasters=tasters, **{**result, "expected_loss": result["expected_loss"] / unit}, **asdict(took))

    plans = tuple(row(r, {}) for r in results["plans"])
    gain: dict[str, float] = {}      # share of the same kitchens that another plan adds
    same = _together(parts[: -(-few // played.part)])["plans"][0]["within_worth"]
    for name, changes in others.items():
        played.begin(name)
        other = _together(_parts({**settings, **changes}, few, seed, cluster, played, only_tool=True))["plans"][0]
        gain[name] = other["within_worth"] - same
        # the same kitchens under both plans: what is added on top of this plan's share carries less luck than the share itself
        other["within_worth"] = min(max(plans[0].within_worth + gain[name], 0.0), 1.0)
        plans += (row({**other, "plan": name}, changes),)
    own, habit = plans[0], next(p for p in plans if p.plan == HABIT)
    smallest = results["smallest_difference"] / unit
    clear = LUCK / few**0.5     # by as much two plans differ by luck: less is not called better or worse
    proposal = _proposal(study, settings, plans, gain, others, clear)
    return DryRun(
        smallest_difference=smallest, within_worth=own.within_worth, expected_loss=own.expected_loss, proposal=proposal,
        habit_within_worth=habit.within_worth, kitchens=kitchens, plans=plans,
        says=(*_words(study, smallest, plans, gain, proposal, clear), *_cost_words(own, costing.currency)),
    )


def _settings(study: Study) -> dict[str, Any]:
    from proofpan.science.versions import LoadPlan

    cooked = cooked_of(study)
    loads = study.plan.loads
    plan = LoadPlan(loads=loads, places=places_of(study), tasters=len(study.tasters) or 1, passes=study.plan.passes,
                    load_numbers=tuple(range(1, loads + 1)))
    return {"space": cooked.space, "plan": plan, "rounds": study.plan.at_most, "tasters": len(study.tasters) or 1,
            "passes": study.plan.passes, "worth": model_worth(study), "prices": _prices(study, cooked),
            "candidates": barred_of(study, cooked).may_be_cooked}


def _prices(study: Study, cooked: Cooked) -> np.ndarray:
    """Prices of the versions' extras, with those that can't be published out of reach."""
    barred = ~cooked.eligible | np.array([o is not None for o in outside_of(study, cooked)], dtype=bool)
    if barred.all():
        raise StudyError("No version lies within the limits, so there is nothing to play: widen a limit, or let something else vary.")
    return prices_of(study, cooked) + NEVER_PRINTED * barred


def _stated(study: Study, effects: Mapping[str, float]) -> dict[int, float]:
    """Effects by the number of their factor, in points."""
    from proofpan.science.versions.dryrun import PAIRS

    number = {f.name: i for i, f in enumerate(study.factors)} | {"pairs": PAIRS}
    for name, size in effects.items():
        if name not in number:
            raise StudyError(f"Nothing that varies is called {quoted(name)}. {did_you_mean(name, list(number))}", field="effects")
        if not 0 <= size <= 10:
            raise StudyError(f"The effect of {name} is a difference in points from 0 to 10, not {size:g}.", field="effects")
    return {number[name]: size * points_per_score(study) for name, size in effects.items()}


def _other_plans(settings: dict[str, Any]) -> dict[str, dict[str, Any]]:
    """Plans that stand beside this one, each by what it does otherwise."""
    plan, rounds, tasters, passes = settings["plan"], settings["rounds"], settings["tasters"], settings["passes"]
    out: dict[str, dict[str, Any]] = {}
    if rounds > 1:
        out["a round fewer"] = {"rounds": rounds - 1}
    out[MORE_TASTERS] = {"tasters": tasters + 2}
    split = _fewer_tasters(rounds, tasters)
    if split is not None:
        out[MORE_TRIALS] = {"rounds": split[0], "tasters": split[1]}
    if passes < MOST_PASSES:
        out[TWICE] = {"passes": passes + 1}
    if len(plan.places) >= 4:
        half = {"plan": replace(plan, places=plan.places[: len(plan.places) // 2]), "rounds": 2 * rounds}
        out[HALF] = half
        if passes < MOST_PASSES:
            out[HALF_AND_TWICE] = {**half, "passes": passes + 1}
    return out


def _fewer_tasters(rounds: int, tasters: int) -> tuple[int, int] | None:
    """(rounds, tasters) with about as many tastings as now: the fewest further rounds that come near it, at most twice as many."""
    now = rounds * tasters
    for more in range(rounds + 1, 2 * rounds + 1):
        fewer = round(now / more)
        if 1 <= fewer < tasters and abs(more * fewer - now) <= AS_MANY * now:
            return more, fewer
    return None


def _proposal(
    study: Study, settings: dict[str, Any], plans: tuple[PlayedPlan, ...], gain: dict[str, float], others: dict[str, dict[str, Any]],
    clear: float,
) -> Proposal | None:
    """The best plan with the same trials, where it is clearly better than this one; the simplest of those that do about as well."""
    known = [name for name in SAME_TRIALS if name in gain]
    best = max((gain[name] for name in known), default=0.0)
    if best < clear:
        return None
    name = next(n for n in reversed(known) if gain[n] > best - clear)
    changes = others[name]
    rounds, passes = changes.get("rounds", settings["rounds"]), changes.get("passes", settings["passes"])
    plates = len(changes["plan"].places) if "plan" in changes else study.plan.plates
    within = next(p.within_worth for p in plans if p.plan == name)
    each = plates or len(places_of(study))
    at_a_sitting = each * passes * study.plan.loads
    tasted = f", and taste each plate {times(passes)}" if passes > 1 else ""
    loads = study.plan.loads
    how = f"{each} at a time, {times(rounds)}" if loads == 1 else f"{counted(rounds, 'round')} of {loads} loads of {each}"
    says = f"With the same trials we would cook {how}{tasted}: {odds(within)}."
    if at_a_sitting > A_SITTING:
        says += f" That is {at_a_sitting} plates a taster each time: with a break after {A_SITTING} when they are rich, fried, sweet or hot."
    return Proposal(plan=name, loads=loads, at_most=rounds, passes=passes, plates=plates, says=says)



def _part(settings: dict[str, Any], seed: int, first: int, kitchens: int, only_tool: bool) -> dict[str, Any]:
    from proofpan.science.versions import dry_run as play

    done = play(**settings, kitchens=kitchens, seed=seed, first=first, only_tool=only_tool)
    return {"smallest_difference": done.smallest_difference, "plans": [
        {"plan": p.plan, "trials": p.trials, "within_worth": p.within_worth, "expected_loss": p.expected_loss, "n": kitchens}
        for p in done.plans
    ]}


def _parts(
    settings: dict[str, Any], kitchens: int, seed: int, cluster: str | None, played: _Played, only_tool: bool = False,
) -> list[dict[str, Any]]:
    """Parts of the kitchens, played side by side, in order: the same numbers wherever they were played."""
    parts = [(first, min(played.part, kitchens - first)) for first in range(0, kitchens, played.part)]
    if cluster:
        return _on_cluster(settings, seed, parts, only_tool, cluster)
    return _on_cores(settings, seed, parts, only_tool, played)


def _together(played: list[dict[str, Any]]) -> dict[str, Any]:
    plans = []
    for i, plan in enumerate(played[0]["plans"]):
        same = [p["plans"][i] for p in played]
        total = sum(s["n"] for s in same)
        share = sum(s["within_worth"] * s["n"] for s in same) / total
        loss = sum(s["expected_loss"] * s["n"] for s in same) / total
        plans.append({"plan": plan["plan"], "trials": plan["trials"], "within_worth": share, "expected_loss": loss,
                      "error": (share * (1 - share) / total) ** 0.5})
    return {"smallest_difference": played[0]["smallest_difference"], "plans": plans}


def _on_cores(
    settings: dict[str, Any], seed: int, parts: list[tuple[int, int]], only_tool: bool, played: _Played,
) -> list[dict[str, Any]]:
    import multiprocessing
    import os
    import sys

    cores = min(len(parts), os.cpu_count() or 1)
    if cores < 2 or sys.platform != "linux" or multiprocessing.current_process().daemon:
        return [_counted(played, n, _part(settings, seed, first, n, only_tool)) for first, n in parts]
    from concurrent.futures import ProcessPoolExecutor

    with ProcessPoolExecutor(cores, mp_context=multiprocessing.get_context("fork")) as pool:
        jobs = [pool.submit(_part, settings, seed, first, n, only_tool) for first, n in parts]
        return [_counted(played, n, j.result()) for (_, n), j in zip(parts, jobs, strict=True)]


def _counted(played: _Played, kitchens: int, result: dict[str, Any]) -> dict[str, Any]:
    played.add(kitchens)
    return result


def _on_cluster(
    settings: dict[str, Any], seed: int, parts: list[tuple[int, int]], only_tool: bool, cluster: str | None,
) -> list[dict[str, Any]]:
    try:
        from distributed import Client
    except ImportError:
        raise StudyError("A cluster needs the extra: pip install 'proofpan[cluster]'.") from None
    try:
        client = Client(cluster, timeout=CLUSTER_WAIT_S)
    except OSError:
        raise StudyError(f"No cluster answers at {cluster}.") from None
    with client:
        jobs = [client.submit(_part, settings, seed, first, n, only_tool, pure=False) for first, n in parts]
        return list(client.gather(jobs))


def _words(
    study: Study, smallest: float, plans: tuple[PlayedPlan, ...], gain: dict[str, float], proposal: Proposal | None,
    clear: float,
) -> tuple[str, ...]:
    own, habit = plans[0], next(p for p in plans if p.plan == HABIT)
    who = f"{counted(own.tasters, 'taster')} and {counted(own.trials, 'trial')}"
    out = [
        f"{who[0].upper()}{who[1:]} see a difference of about {smallest:.1f} between two options in 80 studies of 100.",
        f"This plan ends within {study.brief.worth:.2g} of the best {odds(own.within_worth)} times; changing one thing at a time and keeping "
        f"the winner, {odds(habit.within_worth)}.",
    ]
    if proposal is not None:
        out.append(proposal.says)
    by_name = {p.plan: p for p in plans}
    more = by_name[MORE_TASTERS]
    out.append(f"Two more tasters would make it {odds(more.within_worth)}"
               + (", no better." if gain[more.plan] <= 0 else "." if gain[more.plan] >= clear else ", hardly better."))
    if MORE_TRIALS in gain:
        split = by_name[MORE_TRIALS]
        who = f"{counted(split.tasters, 'taster')} and {counted(split.trials, 'trial')}, about as many tastings"
        if gain[MORE_TRIALS] >= clear:
            out.append(f"Trials are worth more than tasters here: {who}, would end there {odds(split.within_worth)}.")
        elif gain[MORE_TRIALS] <= -clear:
            out.append(f"Tasters are worth more than trials here: {who}, would end there only {odds(split.within_worth)}.")
    if gain.get(TWICE, 0.0) >= clear and (proposal is None or proposal.plan != TWICE):
        out.append(f"Tasting each plate once more, at no extra trial, would make it {odds(by_name[TWICE].within_worth)}.")
    if EVERY in by_name:
        out.append(f"Cooking every version in turn ends there {odds(by_name[EVERY].within_worth)}.")
    return tuple(out)


def _cost_words(own: PlayedPlan, currency: str) -> tuple[str, ...]:
    takes = [f"{counted(own.tastings, 'tasting')} ({own.table_h:.1f} h at the table for each taster)"]
    if own.hands_h is not None:
        takes.append(f"up to {own.hands_h:.1f} h of hands at the stove, less where steps are shared")
    if own.money is not None:
        takes.append(f"about {own.money:.2f} {currency}".rstrip() + " of ingredients")
    return (f"It takes {joined(takes)}.",)
