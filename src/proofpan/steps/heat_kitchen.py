"""Heat and one study's kitchen: what a fit says of an oven kept with it, and when the recipe really came out."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING, Any

from proofpan.study.errors import QuantityError, StudyError, did_you_mean, quoted

if TYPE_CHECKING:
    from proofpan.steps.heat import FitAnswer
    from proofpan.study.kitchen import Oven
    from proofpan.study.study import Study


def oven_of(study: Study, name: str | None = None) -> Oven:
    """An oven of the study's kitchen by its name; the only one without.

    Raises: StudyError, naming the ovens.
    """
    ovens = study.brief.kitchen.ovens
    names = [o.name for o in ovens]
    if not ovens:
        raise StudyError("The study's kitchen names no oven: add one in the brief, such as ovens: [{name: main, kind: fan}].", field="oven")
    if name is None:
        if len(ovens) > 1:
            raise StudyError(f"Say which oven: {', '.join(names)}.", field="oven")
        return ovens[0]
    found = next((o for o in ovens if o.name.lower() == name.strip().lower()), None)
    if found is None:
        raise StudyError(f"No oven {quoted(name)} in this kitchen. {did_you_mean(name, names)}".strip(), field="oven")
    return found


def keep_fit(study: Study, oven: str | None, fit: FitAnswer, fitted: str = "") -> Study:
    """The study with what a fit knows of an oven: its offset and how it gives heat; what the log couldn't tell is left as it was.

    Parameters: fitted, where it comes from, in words. Raises: StudyError; QuantityError, where the log told nothing of the oven.
    """
    chosen = oven_of(study, oven)
    known = {name: value for name, value, _, _, _, sure in fit.estimates if sure}
    change: dict[str, Any] = {}
    if "oven offset" in known:
        change["offset_c"] = round(known["oven offset"], 1)
    if "heat transfer" in known:
        change["heat_transfer_w_m2k"] = round(known["heat transfer"], 1)
    if not change:
        raise QuantityError("This log can't tell the oven's offset or how it gives heat, so nothing is kept; measure the piece, and fit the rest.")
    spans = [f"{name} {value:.3g} {unit} ({low:.3g} to {high:.3g})" for name, value, low, high, unit, sure in fit.estimates if sure and name != "size"]
    change["fitted"] = "; ".join([*filter(None, [fitted]), *spans])
    kitchen = study.brief.kitchen
    ovens = tuple(o.model_copy(update=change) if o.name == chosen.name else o for o in kitchen.ovens)
    return study.model_copy(update={"brief": study.brief.model_copy(update={"kitchen": kitchen.model_copy(update={"ovens": ovens})})})


def out_times(study: Study, version: Any = None, cross_tests: Iterable[float | None] = (), food: str | None = None) -> tuple[float, ...]:
    """Minutes after which it really came out, one a kitchen or trial: trials that didn't fail, and cross-tests.

    Parameters: version, else all versions' trials; cross_tests, minutes that other kitchens report; food, what is asked about: a recipe
        without it says nothing of its time.
    """
    from proofpan.steps.timing import minutes_between

    if food is not None and not _is_in(study, food):
        return ()
    wanted = None if version is None else str(version)
    own = [
        minutes_between(t.start, t.out) for t in study.trial_records
        if not t.failed and (wanted is None or str(t.version) == wanted)
    ]
    return tuple(float(m) for m in (*own, *cross_tests) if m is not None and m > 0)


def _is_in(study: Study, food: str) -> bool:
    from proofpan.science.foods import look_up

    wanted = look_up(food)
    items = [] if study.brief.base is None else [i.named for i in study.brief.base.ingredients]
    found = [look_up(item) for item in items]
    return any(f is not None and wanted is not None and f.key == wanted.key for f in found) or food.strip().casefold() in map(str.casefold, items)


def stages_from(oven: Oven, stages: Sequence[str]) -> tuple[str, ...]:
    """The stages, with a last `oven` turned into the kind that this oven is."""
    if not stages or not stages[-1].strip().lower().startswith("oven") or oven.kind != "fan":
        return tuple(stages)
    return (*stages[:-1], "fan " + stages[-1].strip())
