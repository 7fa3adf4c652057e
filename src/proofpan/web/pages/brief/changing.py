"""Changing a brief: each part of the page as keys of the study's file, read and checked as a file is."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from typing import Any

from proofpan.study.brief import Factor, Option
from proofpan.study.edits import Insert
from proofpan.study.errors import StudyError
from proofpan.study.study import Study
from proofpan.study.words import joined
from proofpan.study.writing import as_file
from proofpan.web.desk import Typed
from proofpan.web.pages.begin.pasted import recipe_from, steps_from
from proofpan.web.pages.begin.unsaid import ANOTHER, PLACEHOLDER_QUESTION, UNSAID, split_names
from proofpan.web.pages.brief.options import option_from

Change = tuple[Study, str]


def rewritten(study: Study, change: Callable[[dict[str, Any]], None]) -> Study:
    """The study after its file's keys were changed.

    Raises: StudyError as a file would.
    """
    value = as_file(study.brief)
    change(value)
    return study.model_copy(update={"brief": Study.from_dict(value).brief})


def about(study: Study, form: Typed, today: date) -> Change:
    """Title and question."""

    def change(value: dict[str, Any]) -> None:
        value["title"], value["question"] = form.get("title"), form.get("question")

    what = "title" if form.get("title") != study.title else "question"
    return rewritten(study, change), f"changed the {what}"


def recipe(study: Study, form: Typed, today: date) -> Change:
    """The base recipe as pasted or corrected; once something is cooked, it becomes the next draft."""
    base = recipe_from(form.get("recipe"))

    def change(value: dict[str, Any]) -> None:
        old = value.get("base")
        keep = {k: v for k, v in (old or {}).items() if k in ("tin", "equipment", "keeping", "notes", "headnote", "credits", "trial_makes")}
        ids = {s["do"]: s for s in (old or {}).get("method", [])}
        taken = {ids[s["do"]]["id"] for s in base["method"] if s["do"] in ids}
        method: list[dict[str, Any]] = []
        for step in base["method"]:  # a sentence that stands keeps its name and all that was set about it
            held = ids.get(step["do"])
            new = held or steps_from([step["do"]], taken)[0]
            taken.add(new["id"])
            method.append(new)
        base["method"] = method
        made = {"trial_makes": form.get("trial_makes")} if form.get("trial_makes") else {}
        value["base"] = {**keep, **base, **made}
        if old and study.cooked:
            value["drafts"] = [*value.get("drafts", ()), old]
            note = {
                "what": f"corrected the base: draft {study.brief.draft + 1}",
                "draft": study.brief.draft + 1,
                "on": today.isoformat(),
                "after_round": max((r.number for r in study.rounds), default=0),
            }
            value["amendments"] = [*value.get("amendments", ()), note]

    return rewritten(study, change), "changed the recipe" if study.brief.base else "added a recipe"


def is_placeholder(study: Study) -> bool:
    """Whether nothing was said yet of what varies: the first thing that is takes the place of what stood there."""
    options = study.factors[0].options
    return len(study.factors) == 1 and study.factors[0].name == UNSAID and [o.name for o in options] == ["as written", ANOTHER] and not options[1].edits


def _step_names(study: Study) -> list[str]:
    base = study.brief.base
    more = [e.insert.id for f in study.brief.factors for o in f.options for e in o.edits if isinstance(e, Insert)]
    return [*(s.id for s in base.method), *more] if base is not None else more


def add_factor(study: Study, form: Typed, today: date) -> Change:
    """One more thing that varies: as written, and one option."""
    name = form.get("factor")
    if not name:
        raise StudyError("Say what varies, such as fat or rest.", field="factor")
    option = option_from(form, _step_names(study))
    plain_name = form.get("plain") or _plain_name(study, form)
    factor = {
        "name": name,
        "asks": form.get("asks", "best"),
        "changed": form.get("changed", "batch"),
        "options": [{"name": plain_name}, option],
    }
    return _added(study, {"factor": factor}, f"added {name}", form, today)


def _plain_name(study: Study, form: Typed) -> str:
    """What the recipe as written is called here, where nobody says: what is swapped, or none; twice "as written" couldn't be told apart."""
    verb, taken = form.get("verb"), {o.name for f in study.factors for o in f.options} if not is_placeholder(study) else set()
    if verb in ("add", "insert"):
        return "none"
    if verb == "swap" and form.get("target").casefold() != form.get("name").casefold():
        return form.get("target")
    return f"{form.get('factor')} as written" if "as written" in taken else "as written"


def add_option(study: Study, form: Typed, today: date) -> Change:
    """One more option of something that varies; of one that stands there, what else it does."""
    option = option_from(form, _step_names(study))
    factor = next((f for f in study.factors if f.name == form.get("factor")), None)
    there = next((o for o in factor.kept if o.name.casefold() == option["name"].casefold()), None) if factor is not None else None
    if factor is not None and there is not None:
        return _does_more(study, factor, there, option)
    return _added(
        study, {"option": {"factor": form.get("factor"), **option}}, f"added {option['name']} to {form.get('factor')}", form, today
    )


def _does_more(study: Study, factor: Factor, there: Option, option: dict[str, Any]) -> Change:
    """An option with one edit more. What was cooked by its name alone is what it now says; what was cooked by its edits stays as it was cooked."""
    name = there.name
    if there.name == factor.plain.name:
        raise StudyError(f"“{name}” is the recipe as written: change the recipe itself, or give this option another name.", field="name")
    if not option.get("edits"):
        raise StudyError(f"“{name}” stands there already: say what else it does, or give this option another name.", field="name")
    if there.edits and any(t.version.get(factor.name) == name for t in study.trial_records):
        raise StudyError(f"“{name}” is cooked as it stands: give what you change a name of its own, such as “{name} 2”.", field="name")

    def change(value: dict[str, Any]) -> None:
        found = next(f for f in value["factors"] if f["name"] == factor.name)
        for held in found["options"]:
            if held["name"] == name:
                held["edits"] = [*held.get("edits", ()), *option["edits"]]

    return rewritten(study, change), f"said what {'else ' if there.edits else ''}{name} does"


def _added(study: Study, what: dict[str, Any], said: str, form: Typed, today: date) -> Change:
    if study.trial_records:
        return study.amend(add=what, why=form.get("why"), on=today), said

    def change(value: dict[str, Any]) -> None:
        if "factor" in what:
            asked_yet = not is_placeholder(study)
            value["factors"] = [*(value["factors"] if asked_yet else ()), what["factor"]]
            if not asked_yet and study.question == PLACEHOLDER_QUESTION:
                plain, option = (o["name"] for o in what["factor"]["options"])
                value["question"] = f"Is {option} better than {plain}?"
            return
        named = what["option"]["factor"]
        option = {k: v for k, v in what["option"].items() if k != "factor"}
        if named not in [f["name"] for f in value["factors"]]:
            raise StudyError(f"“{named}” isn’t something that varies here.", field="factor")
        value["factors"] = [{**f, "options": [*f["options"], option]} if f["name"] == named else f for f in value["factors"]]

    return rewritten(study, change), said


def drop(study: Study, form: Typed, today: date) -> Change:
    """Leave out a thing that varies, or one option of it; what was cooked stands."""
    factor, option = form.get("factor"), form.get("option")
    if study.trial_records:
        what: dict[str, Any] = {"option": {"factor": factor, "name": option}} if option else {"factor": factor}
        return study.amend(drop=what, on=today), f"dropped {option or factor}"

    def change(value: dict[str, Any]) -> None:
        if not option:
            value["factors"] = [f for f in value["factors"] if f["name"] != factor]
            return
        value["factors"] = [
            {**f, "options": [o for o in f["options"] if o["name"] != option]} if f["name"] == factor else f for f in value["factors"]
        ]

    if not option and len(study.factors) == 1:
        raise StudyError(f"“{factor}” is the only thing that varies: a study needs one.", field="factor")
    found = next((f for f in study.factors if f.name == factor), None)
    if option and found is not None and len(found.options) <= 2:
        raise StudyError(f"“{factor}” would be left with one option: leave out {factor} itself instead.", field="option")
    return rewritten(study, change), f"dropped {option or factor}"


def asks(study: Study, form: Typed, today: date) -> Change:
    """What is asked of a thing that varies, how it is changed, and its name."""
    factor = form.get("factor")

    def change(value: dict[str, Any]) -> None:
        for f in value["factors"]:
            if f["name"] == factor:
                f["asks"], f["changed"] = form.get("asks", "best"), form.get("changed", "batch")
                if form.get("price"):
                    f["price"] = _number(form, "price")
                if form.get("rename") and form.get("rename") != factor and not study.trial_records:
                    f["name"] = form.get("rename")

    return rewritten(study, change), f"changed what is asked of {factor}"


def judged(study: Study, form: Typed, today: date) -> Change:
    """Weights, worths and directions of what is judged, and one more."""
    names = [a.name for a in study.attributes]

    def change(value: dict[str, Any]) -> None:
        kept = []
        for i, attribute in enumerate(value["attributes"]):
            weight = _number(form, f"weight-{i}", attribute.get("weight", 1))
            if weight <= 0:
                continue
            new = {**attribute, "weight": weight, "worth": _number(form, f"worth-{i}", attribute.get("worth", 0.5))}
            better = form.get(f"better-{i}")
            if better:
                new["better"] = better if better in ("more", "less") else {"target": _number(form, f"target-{i}", 5)}
            ends = split_names(form.get(f"anchors-{i}"))
            if ends:
                new["anchors"] = ends
            kept.append(new)
        if form.get("new"):
            kept.append({"name": form.get("new"), "scale": [0, 10], "better": form.get("new-better", "more"), "weight": 1, "worth": 0.5})
        if not kept:
            raise StudyError("A study judges one thing at least: give a weight above 0.", field="weight-0")
        value["attributes"] = kept

    after = rewritten(study, change)
    said = (
        f"judges {form.get('new')} too"
        if form.get("new")
        else "changed the weights"
        if [a.name for a in after.attributes] == names
        else "judges fewer things"
    )
    return after, said


def kitchen(study: Study, form: Typed, today: date) -> Change:
    """Ovens, trays, tasters, hours, rounds."""

    def change(value: dict[str, Any]) -> None:
        there = dict(value.get("kitchen", {}))
        if form.get("country"):
            there["country"] = form.get("country")
        there["ovens"] = _ovens(there.get("ovens") or [], form)
        if "people" in form.under(""):
            there.pop("people", None)
            if people := split_names(form.get("people")):
                there["people"] = people
        if "hours" in form.under(""):
            there.pop("hours", None)
            if hours := split_names(form.get("hours")):
                check_hours(hours)
                there["hours"] = hours
        value["kitchen"] = there
        rounds = {
            **value.get("rounds", {}),
            "loads": form.whole("loads", 1, 1, 20),
            "at_most": form.whole("at_most", 3, 1, 50),
            "passes": form.whole("passes", 1, 1, 4),
        }
        if form.get("plates") not in ("", "0"):
            rounds["plates"] = form.whole("plates", 4, 2, 24)
        else:
            rounds.pop("plates", None)
        value["rounds"] = rounds
        names = split_names(form.get("tasters"))
        if names:
            value["tasters"] = _tasters(value.get("tasters", ["Taster 1"]), names, form, today, bool(study.trial_records))

    after = rewritten(study, change)
    gone = [t for t in study.tasters if t not in after.tasters]
    come = [t for t in after.tasters if t not in study.tasters]
    said = (
        f"{joined(come)} {_verb(come)} too"
        if come
        else f"{joined(gone)} no longer {_verb(gone)}"
        if gone
        else "changed what the kitchen has"
    )
    return after, said


def _ovens(old: list[dict[str, Any]], form: Typed) -> list[dict[str, Any]]:
    """So many ovens: the first as typed, those that were there as they were, further ones like the first."""
    number = form.whole("ovens", max(1, len(old)), 0, 12)
    if number == 0 or form.get("trays") in ("", "0"):
        if number and form.get("ovens") and not old:  # an oven more, and nothing said of its trays yet
            return [{"name": "main", "kind": "fan"}, *({"name": f"oven {i}", "kind": "fan"} for i in range(2, number + 1))]
        return []
    first = {**(old[0] if old else {"name": "main", "kind": "fan"}), "trays": form.whole("trays", 1, 1, 12), "places": form.whole("places", 1, 1, 24)}
    names = {o.get("name", "main") for o in old}
    more = [n for n in (f"oven {i}" for i in range(2, 26)) if n not in names]
    alike = {k: first[k] for k in ("kind", "trays", "places") if k in first}
    return [first, *old[1:number], *({"name": n, **alike} for n in more[: max(0, number - max(1, len(old)))])]


def check_hours(hours: list[str]) -> None:
    """Hours as they are typed.

    Raises: StudyError by the field.
    """
    from proofpan.steps.day_hours import open_minutes
    from proofpan.study.errors import DayError
    from proofpan.study.kitchen import Kitchen

    try:
        open_minutes(Kitchen(hours=tuple(hours)))
    except DayError as error:
        raise StudyError(str(error), field="hours") from None


def rounds(study: Study, form: Typed, today: date) -> Change:
    """The plan that the dry run proposes."""
    plan = {"loads": form.whole("loads", 1, 1, 20), "at_most": form.whole("at_most", 3, 1, 50), "passes": form.whole("passes", 1, 1, 4)}
    if form.get("plates") not in ("", "0"):
        plan["plates"] = form.whole("plates", 4, 2, 24)

    def change(value: dict[str, Any]) -> None:
        value["rounds"] = {**value.get("rounds", {}), **plan}

    return rewritten(study, change), "took the plan that the dry run proposed"


def _verb(names: list[str]) -> str:
    return "tastes" if len(names) == 1 else "taste"


def _tasters(old: list[Any], names: list[str], form: Typed, today: date, keep: bool) -> list[Any]:
    known: dict[str, dict[str, Any]] = {
        (t if isinstance(t, str) else t["name"]): ({"name": t} if isinstance(t, str) else dict(t)) for t in old
    }
    out = []
    for name, held in known.items():
        if name in names:
            held.pop("left", None)
        elif keep:
            held.setdefault("left", today.isoformat())
        else:
            continue
        if f"no-{name}" in form.under(""):
            held["no"] = split_names(form.get(f"no-{name}"))
        out.append({k: v for k, v in held.items() if v})
    for name in names:
        if name not in known:
            no = split_names(form.get(f"no-{name}"))
            out.append({"name": name, **({"no": no} if no else {})})
    return out


def limits(study: Study, form: Typed, today: date) -> Change:
    """What the commission allows."""

    def change(value: dict[str, Any]) -> None:
        there = dict(value.get("limits", {}))
        for key in ("cost_a_serve", "active_minutes"):
            there.pop(key, None)
            if form.get(key):
                there[key] = _number(form, key)
        there.pop("deadline", None)
        if form.get("deadline"):
            there["deadline"] = form.get("deadline")
        value["limits"] = there

    return rewritten(study, change), "changed the limits"


def _number(form: Typed, name: str, else_: float = 0.0) -> float:
    text = form.get(name).replace(",", ".")
    if not text:
        return float(else_)
    try:
        return float(text)
    except ValueError:
        raise StudyError(f"“{text[:20]}” isn’t a number.", field=name) from None


# what of a brief's file each part of the page changes: two devices may change different parts at once
TOUCHES: dict[str, tuple[str, ...]] = {
    "about": ("title", "question"),
    "recipe": ("base", "drafts"),
    "asks": ("factors",),
    "judged": ("attributes",),
    "kitchen": ("kitchen", "tasters", "rounds"),
    "rounds": ("rounds",),
    "limits": ("limits",),
    "day": ("kitchen", "rounds", "filming"),
}
CHANGES: dict[str, Callable[[Study, Typed, date], Change]] = {
    "about": about,
    "recipe": recipe,
    "add factor": add_factor,
    "add option": add_option,
    "drop": drop,
    "asks": asks,
    "judged": judged,
    "kitchen": kitchen,
    "rounds": rounds,
    "limits": limits,
}
