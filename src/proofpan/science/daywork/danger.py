"""Minutes in the danger zone, counted along each food's way."""

from proofpan.science.daywork.limits import Limits
from proofpan.science.daywork.model import DayModel
from proofpan.science.daywork.task import After, Task
from proofpan.science.daywork.words import say_minutes


def add_danger(on: Limits) -> None:
    """Minutes in the danger zone, added up along each food's way."""
    model, cp, limit = on.model, on.cp, on.model.zone.limit_minutes
    marked = [t for t in model.tasks if t.food is not None or t.danger_zone or t.food_c is not None or any(model.in_zone(a) for a in t.after)]
    if not any(model.in_zone(t) or any(model.in_zone(a) for a in t.after) for t in marked):
        return
    total = {t.key: cp.new_int_var(0, 4 * on.top, "") for t in marked}
    for task in marked:
        own = on.end[task.key] - on.start[task.key] if model.in_zone(task) else 0
        cp.add(total[task.key] >= own)
        for link, wait, carried in zone_links(model, task):
            counted = on.start[task.key] - on.end[link.task] if wait else 0
            cp.add(total[task.key] >= (total[link.task] if carried else 0) + counted + own)
        if task.key not in on.started:
            on.at_most(total[task.key], limit, zone_sentence(model, on.words[task.key]), bends=True, safety=True)


def zone_sentence(model: DayModel, words: str) -> str:
    """The authority's limit on a task's food, in words."""
    zone = model.zone
    return f"{words}: at most {say_minutes(zone.limit_minutes)} between {zone.low_c:g} and {zone.high_c:g} °C ({zone.name})"


def zone_links(model: DayModel, task: Task) -> list[tuple[After, bool, bool]]:
    """Links along which a food comes to this task, whether its wait counts as in the danger zone, and whether what was counted before comes too.

    A task without food is heat: what waits for it goes on counting, what comes out of it begins anew, and waits all the same.
    """
    foods = {t.key: t.food for t in model.tasks}
    return [(a, model.in_zone(a), foods[a.task] is not None) for a in task.after
            if model.in_zone(a) or (task.food is not None and foods[a.task] is not None)]
