"""What a day's plan says in sentences, and what clashes where there is none."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import TYPE_CHECKING

from proofpan.steps.day_tasks import DISHED_UP
from proofpan.study.day import DayTask, OvenTurn
from proofpan.study.errors import shorten
from proofpan.study.rounds import Round
from proofpan.study.study import Study
from proofpan.study.words import counted, joined, version_words

if TYPE_CHECKING:
    from proofpan.science.daywork import DayModel
    from proofpan.science.daywork import DayPlan as Planned

SHOWN = 3
UNEQUAL_MINUTES = 10


def clash_words(conflict: Sequence[str]) -> str:
    """The limits that can't all hold, and what to do."""
    more = f", and {len(conflict) - 2} more" if len(conflict) > 2 else ""
    if len(conflict) == 1:
        return f"The day can't be cooked: {shorten(conflict[0], 220)}."
    return f"The day can't be cooked: {joined(shorten(c, 100) for c in conflict[:2])} clash{more}. Ease one of them."


def oven_words(name: str) -> str:
    """An oven's name as it is said."""
    return name if "oven" in name.casefold() else f"{name} oven"


def day_words(study: Study, round_: Round, tasks: Sequence[DayTask], turns: Sequence[OvenTurn], found: Planned, model: DayModel,
              ) -> tuple[str, ...]:
    """The sentences above a run sheet, in order."""
    if not tasks:
        return ("There is nothing to cook in this round.",)
    out = [_span(round_, tasks), *_plates(tasks, model), *_ages(tasks, round_)]
    out += [f"Turn the {oven_words(t.oven)} to {t.temperature_c} °C at {t.turn:%H:%M}; it is ready at {t.ready:%H:%M}." for t in turns]
    if turns and not study.brief.kitchen.ovens:
        out.append("The brief names no oven: one of two trays with four places each is planned with.")
    cue = next((t for t in sorted(tasks, key=lambda t: not t.resource) if t.latest_end is not None), None)
    if cue is not None and cue.latest_end is not None:
        out.append(f"Steps that end by a cue are planned on their expected minutes; ovens and hobs are kept free to the longest ones "
                   f"({shorten(cue.task)}: {cue.end:%H:%M}, at the latest {cue.latest_end:%H:%M}).")
    out += _shared(study, tasks) + _zone(model) + _afterwards(study, tasks)
    out.append("No better plan exists." if found.optimal else "A good plan; whether a better one exists wasn't proven.")
    return (*out, *(f"Not kept: {b}." for b in _worst(found.broken)))


def _worst(broken: Sequence[str]) -> list[str]:
    """Each limit once, with the most that it is over by."""
    most: dict[str, tuple[int, str]] = {}
    for sentence in broken:
        limit, _, over = sentence.rpartition(": ")
        minutes = sum(int(n) * (60 if unit == "h" else 1) for n, unit in re.findall(r"(\d+) (h|min)", over))
        most[limit] = max(most.get(limit, (0, sentence)), (minutes, sentence))
    return [sentence for _, sentence in most.values()]


def _span(round_: Round, tasks: Sequence[DayTask]) -> str:
    here = [t for t in tasks if t.kind in ("cook", "taste")]
    first, last = min(t.start for t in here), max(t.end for t in here)
    minutes = int((last - first).total_seconds() // 60)
    length = f"{minutes // 60} h {minutes % 60:02d}" if minutes >= 60 else f"{minutes} min"
    several = first.date() != last.date()
    start, end = (f"{t:%A} {t:%H:%M}" if several else f"{t:%H:%M}" for t in (first, last))
    return f"Hands on from {start}, the last mark made by {end}: {length} for {counted(len(round_.trials), 'trial')}."


def _plates(tasks: Sequence[DayTask], model: DayModel) -> list[str]:
    serves = {t.key for t in model.tasks if t.serve_group == DISHED_UP}
    ready = [t.end for t in tasks if t.task in serves]
    if not ready:
        return []
    spread = int((max(ready) - min(ready)).total_seconds() // 60)
    if not spread:
        return ["All plates are ready together."]
    return [f"All plates are ready within {counted(spread, 'minute')} of each other."]


def _ages(tasks: Sequence[DayTask], round_: Round) -> list[str]:
    """How unequally old the plates are, where the oven empties in turns: the taster would taste that too."""
    at = {t.task: t for t in tasks}
    ages = []
    for trial in round_.trials:
        out = [t.end for t in tasks if t.load and t.task.endswith(f" {trial.trial}")]
        plate = at.get(f"plate {trial.trial}")
        if out and plate is not None:
            ages.append(int((plate.end - max(out)).total_seconds() // 60))
    if len(ages) < 2 or max(ages) - min(ages) < UNEQUAL_MINUTES:
        return []
    return [f"Plates have been out of the oven for {min(ages)} to {max(ages)} minutes: serve them all at one temperature."]


def _shared(study: Study, tasks: Sequence[DayTask]) -> list[str]:
    out = []
    for t in [t for t in tasks if len(t.versions) > 1 and t.task != "taste"][:SHOWN]:
        more = f" and {len(t.versions) - 2} more" if len(t.versions) > 2 else ""
        named = [version_words(study.version(v)) for v in t.versions[:2]]
        said = "; ".join(named)
        out.append(f"{shorten(t.what.split('. ')[0], 60)}: once, then divided, for {said}{more}.")
    return out


def _afterwards(study: Study, tasks: Sequence[DayTask]) -> list[str]:
    """When what was kept is tasted again; when the cameras are done, and that the presenter has voted before the bite."""
    out = []
    if again := [t for t in tasks if t.kind == "keep" and t.task.startswith("taste ")]:
        out.append("Kept and tasted again: " + joined(f"{t.task.removeprefix('taste ')} ({t.start:%A %H:%M})" for t in again) + ".")
    film = study.brief.filming
    if shots := [t for t in tasks if t.kind.startswith("film ") and t.kind != "film batch"]:
        voted = f" {film.presenter}'s ballot is in before the bite." if film is not None and film.presenter else ""
        out.append(f"The camera is done at {max(t.end for t in shots):%H:%M}; it films its own batches, never a plate that is judged.{voted}")
    return out


def _zone(model: DayModel) -> list[str]:
    if not any(t.food is not None for t in model.tasks):
        return []
    zone = model.zone
    return [f"Food that spoils is at most {zone.limit_minutes // 60} h between {zone.low_c:g} and {zone.high_c:g} °C altogether, before the "
            f"heat and again after it ({zone.name}). Follow your local food-safety authority."]
