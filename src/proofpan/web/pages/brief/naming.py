"""What a change of the brief is called, as an undo will name it: what changed, from what to what."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from proofpan.study.brief import Attribute, Target
from proofpan.study.study import Study
from proofpan.study.words import joined

MOST = 3  # things named one by one; what is more is counted
Differs = tuple[str, str, str]  # what, before, after


def name_of(part: str, before: Study, after: Study, else_: str) -> str:
    """The name of a change of one part of the page, or of a run of them, from where it began to where it stands.

    Parameters: part, as the page's form calls it; else_, what it is called where nothing of it can be told apart.
    """
    if part not in NAMED:
        return else_
    return NAMED[part](before, after) or else_


def _kitchen(before: Study, after: Study) -> str:
    gone = [t for t in before.tasters if t not in after.tasters]
    come = [t for t in after.tasters if t not in before.tasters]
    said = [f"{joined(come)} {'tastes' if len(come) == 1 else 'taste'} too"] if come else []
    said += [f"{joined(gone)} no longer {'tastes' if len(gone) == 1 else 'taste'}"] if gone else []
    changed = _changed([(n, *(_of_kitchen(s, n) for s in (before, after))) for n in KITCHEN])
    return "; ".join([*said, *([changed] if changed else [])])


KITCHEN = ("whose measures", "ovens", "trays", "places on a tray", "loads a round", "rounds at most", "tastings of a plate", "plates at a time",
           "who cooks", "hours")


def _of_kitchen(study: Study, what: str) -> str:
    kitchen, plan = study.brief.kitchen, study.plan
    oven = kitchen.ovens[0] if kitchen.ovens else None
    values: dict[str, object] = {
        "whose measures": kitchen.country or "", "ovens": len(kitchen.ovens), "trays": oven.trays if oven else 0,
        "places on a tray": oven.places if oven else 0, "loads a round": plan.loads, "rounds at most": plan.at_most,
        "tastings of a plate": plan.passes, "plates at a time": plan.plates or "every place", "who cooks": ", ".join(kitchen.people),
        "hours": ", ".join(kitchen.hours),
    }
    return str(values[what])


def _judged(before: Study, after: Study) -> str:
    old, new = ({a.name: a for a in s.attributes} for s in (before, after))
    more, fewer = [n for n in new if n not in old], [n for n in old if n not in new]
    said = [f"judges {joined(more)} too"] if more else []
    said += [f"no longer judges {joined(fewer)}"] if fewer else []
    differs = [(f"the {what} of {n}", a, b) for n in new if n in old for what, a, b in _of_attribute(old[n], new[n]) if a != b]
    if len(differs) > 1 and all(what.startswith("the weight of ") for what, _, _ in differs):
        return "; ".join([*said, "changed the weights"])
    changed = _changed(differs)
    return "; ".join([*said, *([changed] if changed else [])])


def _of_attribute(old: Attribute, new: Attribute) -> Iterator[Differs]:
    yield "weight", f"{old.weight:g}", f"{new.weight:g}"
    yield "worth", f"{old.worth:g}", f"{new.worth:g}"
    yield "better end", _better(old), _better(new)
    yield "words at the ends", ", ".join(old.anchors), ", ".join(new.anchors)


def _better(attribute: Attribute) -> str:
    return f"a target of {attribute.better.target:g}" if isinstance(attribute.better, Target) else attribute.better


def _limits(before: Study, after: Study) -> str:
    old, new = before.brief.limits, after.brief.limits
    return _changed([
        ("the cost a serve", *(f"{x.cost_a_serve:g}" if x.cost_a_serve else "" for x in (old, new))),
        ("the minutes of hands", *(f"{x.active_minutes:g}" if x.active_minutes else "" for x in (old, new))),
        ("the day to publish by", *(f"{x.deadline:%-d %B}" if x.deadline else "" for x in (old, new))),
    ])


def _about(before: Study, after: Study) -> str:
    differs = [w for w, a, b in (("title", before.title, after.title), ("question", before.question, after.question)) if a != b]
    return f"changed the {' and the '.join(differs)}" if differs else ""


def _changed(given: list[tuple[str, ...]] | list[Differs]) -> str:
    """`changed trays from 2 to 3`, `changed trays and hours`."""
    differs = [(what, a, b) for what, a, b in given if a != b]
    if not differs:
        return ""
    if len(differs) == 1:
        what, a, b = differs[0]
        return f"changed {what} from {a} to {b}" if a and b else f"set {what} to {b}" if b else f"took {what} away"
    named = [what for what, _, _ in differs[:MOST]]
    return f"changed {joined([*named, f'{len(differs) - MOST} more'] if len(differs) > MOST else named)}"


NAMED: dict[str, Callable[[Study, Study], str]] = {"kitchen": _kitchen, "judged": _judged, "limits": _limits, "about": _about}
