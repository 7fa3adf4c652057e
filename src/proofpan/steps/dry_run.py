"""A dry run: the study played on invented kitchens before anything is cooked."""

from __future__ import annotations

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
    fewer = max(1, study.plan.at_most - 1)
    settings = _settings(study)
    results = _play(settings, kitchens, seed, cluster)
    tasters = len(study.tasters) or 1
    plans = tuple(PlayedPlan(tasters=tasters, **r) for r in results["plans"])
    if fewer < study.plan.at_most:
        less = _play({**settings, "rounds": fewer}, min(kitchens, 200), seed, cluster)["plans"][0]
        plans += (PlayedPlan(tasters=tasters, **{**less, "plan": "a round fewer"}),)
    more = _play({**settings, "tasters": tasters + 2}, min(kitchens, 200), seed, cluster)["plans"][0]
    plans += (PlayedPlan(tasters=tasters + 2, **{**more, "plan": "two more tasters"}),)
    twice = _play({**settings, "passes": study.plan.passes + 1}, min(kitchens, 200), seed, cluster)["plans"][0]
    plans += (PlayedPlan(tasters=tasters, **{**twice, "plan": TWICE}),)
    own, habit = plans[0], next(p for p in plans if p.plan == HABIT)
    unit = points_per_score(study)
    smallest = results["smallest_difference"] / unit
    return DryRun(
        smallest_difference=smallest, within_worth=own.within_worth, expected_loss=own.expected_loss / unit,
        habit_within_worth=habit.within_worth, kitchens=kitchens,
        plans=tuple(p.model_copy(update={"expected_loss": p.expected_loss / unit}) for p in plans),
        says=_words(study, smallest, plans),
    )


def _settings(study: Study) -> dict[str, Any]:
    from proofpan.science.versions import LoadPlan

    cooked = cooked_of(study)
    loads = study.plan.loads
    plan = LoadPlan(loads=loads, places=places_of(study), tasters=len(study.tasters) or 1, passes=study.plan.passes,
                    load_numbers=tuple(range(1, loads + 1)))
    return {"space": cooked.space, "plan": plan, "rounds": study.plan.at_most, "tasters": len(study.tasters) or 1,
            "passes": study.plan.passes, "worth": model_worth(study), "prices": prices_of(study, cooked)}


def _part(settings: dict[str, Any], seed: int, first: int, kitchens: int) -> dict[str, Any]:
    from proofpan.science.versions import dry_run as play

    done = play(**settings, kitchens=kitchens, seed=seed, first=first)
    return {"smallest_difference": done.smallest_difference, "plans": [
        {"plan": p.plan, "trials": p.trials, "within_worth": p.within_worth, "expected_loss": p.expected_loss, "n": kitchens}
        for p in done.plans
    ]}


def _play(settings: dict[str, Any], kitchens: int, seed: int, cluster: str | None) -> dict[str, Any]:
    """Parts of the kitchens, played side by side, put together in order: the same numbers wherever they were played."""
    parts = [(first, min(PART, kitchens - first)) for first in range(0, kitchens, PART)]
    played = _on_cluster(settings, seed, parts, cluster) if cluster else _on_cores(settings, seed, parts)
    plans = []
    for i, plan in enumerate(played[0]["plans"]):
        same = [p["plans"][i] for p in played]
        total = sum(s["n"] for s in same)
        share = sum(s["within_worth"] * s["n"] for s in same) / total
        loss = sum(s["expected_loss"] * s["n"] for s in same) / total
        plans.append({"plan": plan["plan"], "trials": plan["trials"], "within_worth": share, "expected_loss": loss,
                      "error": (share * (1 - share) / total) ** 0.5})
    return {"smallest_difference": played[0]["smallest_difference"], "plans": plans}


def _on_cores(settings: dict[str, Any], seed: int, parts: list[tuple[int, int]]) -> list[dict[str, Any]]:
    import multiprocessing
    import os
    import sys

    cores = min(len(parts), os.cpu_count() or 1)
    if cores < 2 or sys.platform != "linux" or multiprocessing.current_process().daemon:
        return [_part(settings, seed, first, n) for first, n in parts]
    from concurrent.futures import ProcessPoolExecutor

    with ProcessPoolExecutor(cores, mp_context=multiprocessing.get_context("fork")) as pool:
        jobs = [pool.submit(_part, settings, seed, first, n) for first, n in parts]
        return [j.result() for j in jobs]


def _on_cluster(settings: dict[str, Any], seed: int, parts: list[tuple[int, int]], cluster: str | None) -> list[dict[str, Any]]:
    try:
        from distributed import Client
    except ImportError:
        raise StudyError("A cluster needs the extra: pip install 'proofpan[cluster]'.") from None
    try:
        client = Client(cluster, timeout=10)
    except OSError:
        raise StudyError(f"No cluster answers at {cluster}.") from None
    with client:
        jobs = [client.submit(_part, settings, seed, first, n, pure=False) for first, n in parts]
        return list(client.gather(jobs))


def _words(study: Study, smallest: float, plans: tuple[PlayedPlan, ...]) -> tuple[str, ...]:
    own, habit = plans[0], next(p for p in plans if p.plan == HABIT)
    who = f"{counted(own.tasters, 'taster')} and {counted(own.trials, 'trial')}"
    out = [
        f"{who[0].upper()}{who[1:]} see a difference of about {smallest:.1f} between two options in 80 studies of 100.",
        f"This plan ends within {study.brief.worth:.2g} of the best {odds(own.within_worth)} times; changing one thing at a time and keeping "
        f"the winner, {odds(habit.within_worth)}.",
    ]
    best = max(plans[2:], key=lambda p: p.within_worth - own.within_worth, default=None)
    for plan in plans:
        if plan.plan == "two more tasters":
            gain = round(100 * (plan.within_worth - own.within_worth))
            out.append(f"Two more tasters would make it {odds(plan.within_worth)}" + (", no better." if gain <= 0 else "."))
        if plan.plan == TWICE and plan.within_worth > own.within_worth + 0.01:
            out.append(f"Tasting each plate once more, at no extra trial, would make it {odds(plan.within_worth)}.")
        if plan.plan == EVERY and best is not None:
            out.append(f"Cooking every version in turn ends there {odds(plan.within_worth)}.")
    return tuple(out)
