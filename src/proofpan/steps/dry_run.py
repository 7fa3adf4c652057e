"""A dry run: the study played on invented kitchens before anything is cooked."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

from proofpan.steps.observing import cooked_of
from proofpan.steps.rounds import model_worth, places_of, points_per_score, prices_of
from proofpan.study.errors import StudyError
from proofpan.study.fields import Doc
from proofpan.study.study import Study
from proofpan.study.words import counted, odds

if TYPE_CHECKING:
    import pandas as pd

TWICE = "each plate tasted once more"
MORE_TRIALS = "a round more, fewer tasters"
HALF, HALF_AND_TWICE = "half as much at a time, twice as often", "half as much at a time, and tasted once more"
OTHERS = 200     # kitchens in which other plans are played
CLEAR = 0.03     # a plan is called better from so much of a share: in 200 kitchens two plans differ by as much by luck
THIS_PLAN, HABIT, EVERY = "this plan", "one factor at a time", "every version"
PART = 125
MOST_VERSIONS = 500


class PlayedPlan(Doc):
    """How one plan did."""

    plan: str
    trials: int
    tasters: int
    within_worth: float
    error: float
    expected_loss: float


class DryRun(Doc):
    """What this kitchen can see, and how often each plan ends within `worth` of the best."""

    smallest_difference: float
    within_worth: float
    expected_loss: float
    habit_within_worth: float
    kitchens: int
    plans: tuple[PlayedPlan, ...]
    says: tuple[str, ...]

    def table(self) -> pd.DataFrame:
        """A row a plan."""
        import pandas as pd

        columns = ["plan", "trials", "tasters", "within_worth", "expected_loss", "error"]
        return pd.DataFrame([[getattr(p, c) for c in columns] for p in self.plans], columns=columns)


def dry_run(study: Study, kitchens: int = 500, seed: int = 0, cluster: str | None = None) -> DryRun:
    """Play the study on invented kitchens drawn from what is usual.

    Parameters: kitchens, how many; seed; cluster, the address of a Dask scheduler that shares the work (the same numbers).

    Raises: StudyError for a number of kitchens that can't be, or too many versions to play.
    """
    if not 1 <= kitchens <= 100_000:
        raise StudyError("A dry run plays 1 to 100,000 kitchens.")
    if len(study.versions()) > MOST_VERSIONS:
        raise StudyError(f"A dry run plays up to {MOST_VERSIONS} versions; this study has {len(study.versions())}.")
    settings = _settings(study)
    results = _play(settings, kitchens, seed, cluster)
    tasters = len(study.tasters) or 1
    plans = tuple(PlayedPlan(tasters=tasters, **r) for r in results["plans"])
    gain: dict[str, float] = {}      # share of the same kitchens that another plan adds
    few = min(kitchens, OTHERS)
    same = _play(settings, few, seed, cluster, only_tool=True)["plans"][0]["within_worth"]
    for name, changes in _other_plans(settings):
        other = _play({**settings, **changes}, few, seed, cluster, only_tool=True)["plans"][0]
        gain[name] = other["within_worth"] - same
        # the same kitchens under both plans: what is added on top of this plan's share carries less luck than the share itself
        other["within_worth"] = min(max(plans[0].within_worth + gain[name], 0.0), 1.0)
        plans += (PlayedPlan(tasters=changes.get("tasters", tasters), **{**other, "plan": name}),)
    own, habit = plans[0], next(p for p in plans if p.plan == HABIT)
    unit = points_per_score(study)
    smallest = results["smallest_difference"] / unit
    return DryRun(
        smallest_difference=smallest, within_worth=own.within_worth, expected_loss=own.expected_loss / unit,
        habit_within_worth=habit.within_worth, kitchens=kitchens,
        plans=tuple(p.model_copy(update={"expected_loss": p.expected_loss / unit}) for p in plans),
        says=_words(study, smallest, plans, gain),
    )


def _settings(study: Study) -> dict[str, Any]:
    from proofpan.science.versions import LoadPlan

    cooked = cooked_of(study)
    loads = study.plan.loads
    plan = LoadPlan(loads=loads, places=places_of(study), tasters=len(study.tasters) or 1, passes=study.plan.passes,
                    load_numbers=tuple(range(1, loads + 1)))
    return {"space": cooked.space, "plan": plan, "rounds": study.plan.at_most, "tasters": len(study.tasters) or 1,
            "passes": study.plan.passes, "worth": model_worth(study), "prices": prices_of(study, cooked)}


def _other_plans(settings: dict[str, Any]) -> list[tuple[str, dict[str, Any]]]:
    """Plans that stand beside this one, each by what it does otherwise."""
    plan, rounds, tasters = settings["plan"], settings["rounds"], settings["tasters"]
    once_more = {"passes": settings["passes"] + 1}
    out: list[tuple[str, dict[str, Any]]] = []
    if rounds > 1:
        out.append(("a round fewer", {"rounds": rounds - 1}))
    out.append(("two more tasters", {"tasters": tasters + 2}))
    fewer = tasters * rounds // (rounds + 1)
    if 1 <= fewer < tasters:
        out.append((MORE_TRIALS, {"rounds": rounds + 1, "tasters": fewer}))
    out.append((TWICE, once_more))
    if len(plan.places) >= 4:
        half = {"plan": replace(plan, places=plan.places[: len(plan.places) // 2]), "rounds": 2 * rounds}
        out += [(HALF, half), (HALF_AND_TWICE, {**half, **once_more})]
    return out


def _part(settings: dict[str, Any], seed: int, first: int, kitchens: int, only_tool: bool) -> dict[str, Any]:
    from proofpan.science.versions import dry_run as play

    done = play(**settings, kitchens=kitchens, seed=seed, first=first, only_tool=only_tool)
    return {"smallest_difference": done.smallest_difference, "plans": [
        {"plan": p.plan, "trials": p.trials, "within_worth": p.within_worth, "expected_loss": p.expected_loss, "n": kitchens}
        for p in done.plans
    ]}


def _play(settings: dict[str, Any], kitchens: int, seed: int, cluster: str | None, only_tool: bool = False) -> dict[str, Any]:
    """Parts of the kitchens, played side by side, put together in order: the same numbers wherever they were played."""
    parts = [(first, min(PART, kitchens - first)) for first in range(0, kitchens, PART)]
    played = _on_cluster(settings, seed, parts, only_tool, cluster) if cluster else _on_cores(settings, seed, parts, only_tool)
    plans = []
    for i, plan in enumerate(played[0]["plans"]):
        same = [p["plans"][i] for p in played]
        total = sum(s["n"] for s in same)
        share = sum(s["within_worth"] * s["n"] for s in same) / total
        loss = sum(s["expected_loss"] * s["n"] for s in same) / total
        plans.append({"plan": plan["plan"], "trials": plan["trials"], "within_worth": share, "expected_loss": loss,
                      "error": (share * (1 - share) / total) ** 0.5})
    return {"smallest_difference": played[0]["smallest_difference"], "plans": plans}


def _on_cores(settings: dict[str, Any], seed: int, parts: list[tuple[int, int]], only_tool: bool) -> list[dict[str, Any]]:
    import multiprocessing
    import os
    import sys

    cores = min(len(parts), os.cpu_count() or 1)
    if cores < 2 or sys.platform != "linux" or multiprocessing.current_process().daemon:
        return [_part(settings, seed, first, n, only_tool) for first, n in parts]
    from concurrent.futures import ProcessPoolExecutor

    with ProcessPoolExecutor(cores, mp_context=multiprocessing.get_context("fork")) as pool:
        jobs = [pool.submit(_part, settings, seed, first, n, only_tool) for first, n in parts]
        return [j.result() for j in jobs]


def _on_cluster(
    settings: dict[str, Any], seed: int, parts: list[tuple[int, int]], only_tool: bool, cluster: str | None,
) -> list[dict[str, Any]]:
    try:
        from distributed import Client
    except ImportError:
        raise StudyError("A cluster needs the extra: pip install 'proofpan[cluster]'.") from None
    try:
        client = Client(cluster, timeout=10)
    except OSError:
        raise StudyError(f"No cluster answers at {cluster}.") from None
    with client:
        jobs = [client.submit(_part, settings, seed, first, n, only_tool, pure=False) for first, n in parts]
        return list(client.gather(jobs))


def _words(study: Study, smallest: float, plans: tuple[PlayedPlan, ...], gain: dict[str, float]) -> tuple[str, ...]:
    own, habit = plans[0], next(p for p in plans if p.plan == HABIT)
    who = f"{counted(own.tasters, 'taster')} and {counted(own.trials, 'trial')}"
    out = [
        f"{who[0].upper()}{who[1:]} see a difference of about {smallest:.1f} between two options in 80 studies of 100.",
        f"This plan ends within {study.brief.worth:.2g} of the best {odds(own.within_worth)} times; changing one thing at a time and keeping "
        f"the winner, {odds(habit.within_worth)}.",
    ]
    by_name = {p.plan: p for p in plans}
    more = by_name["two more tasters"]
    out.append(f"Two more tasters would make it {odds(more.within_worth)}"
               + (", no better." if gain[more.plan] <= 0 else "." if gain[more.plan] >= CLEAR else ", hardly better."))
    if MORE_TRIALS in gain:
        split = by_name[MORE_TRIALS]
        who = f"{counted(split.tasters, 'taster')} and {counted(split.trials, 'trial')}, about as many tastings"
        if gain[MORE_TRIALS] >= CLEAR:
            out.append(f"Trials are worth more than tasters here: {who}, would end there {odds(split.within_worth)}.")
        elif gain[MORE_TRIALS] <= -CLEAR:
            out.append(f"Tasters are worth more than trials here: {who}, would end there only {odds(split.within_worth)}.")
    if gain[TWICE] >= CLEAR:
        out.append(f"Tasting each plate once more, at no extra trial, would make it {odds(by_name[TWICE].within_worth)}.")
    if gain.get(HALF, 0.0) >= CLEAR:
        out.append(f"Cooking half as much at a time, twice as often, would make it {odds(by_name[HALF].within_worth)}.")
    if HALF_AND_TWICE in gain and gain[HALF_AND_TWICE] >= max(gain[TWICE], gain[HALF]) + CLEAR:
        out.append(f"Cooking half as much at a time, twice as often, and tasting each plate once more would make it "
                   f"{odds(by_name[HALF_AND_TWICE].within_worth)}.")
    if EVERY in by_name:
        out.append(f"Cooking every version in turn ends there {odds(by_name[EVERY].within_worth)}.")
    return tuple(out)
