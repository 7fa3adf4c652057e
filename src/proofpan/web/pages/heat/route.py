"""Heat: how long, how sure, and in whose oven."""

from __future__ import annotations

from functools import lru_cache
from typing import Any
from urllib.parse import urlencode

from fastapi import APIRouter, Depends
from markupsafe import Markup
from starlette.responses import Response

from proofpan.notebook.shelf import change_brief
from proofpan.steps.heat import MODEL_NOTE, FitAnswer, fit, heat
from proofpan.steps.heat_curve import heat_curve
from proofpan.steps.heat_kitchen import keep_fit, out_times
from proofpan.study.errors import ProofpanError, StudyError
from proofpan.study.study import Study
from proofpan.web.desk import Desk, Typed, go, lead, typed
from proofpan.web.pages.heat.asked import FREE, INCH_CM, TEXTS, Asked, fields_of, in_measures, measures_of, own_oven, read, setting, sliders
from proofpan.web.pages.heat.drawing import picture, ready_picture, ready_words
from proofpan.web.pages.heat.page import HeatPage, OvenPart
from proofpan.web.rendering import show

router = APIRouter()
KITCHENS = 32
SHAPES = ("cube", "brick", "slab", "one-sided slab", "cylinder", "finite cylinder", "sphere")
STAGES = ("boil", "simmer", "steam", "oven", "fan oven", "grill", "sear")
FEWEST_READINGS = 8


@router.get("/study/{study_id}/heat")
def get_heat(study_id: str, desk: Desk = Depends(lead)) -> Response:
    """The page: everything that is asked stands in its address, so that it can be kept, sent and undone with Back."""
    return show_heat(desk, study_id, Typed(list(desk.request.query_params.multi_items())))


@router.post("/study/{study_id}/heat/oven")
def post_oven(study_id: str, form: Typed = Depends(typed), desk: Desk = Depends(lead)) -> Response:
    """Keep what the log says of the oven with the one that is named."""
    desk.again = lambda: show_heat(desk, study_id, form)
    standing, name = desk.standing(study_id), form.get("oven_name")
    asked = _read(standing.study, form)
    changed = keep_fit(standing.study, name, _fitted(asked), "a log laid over the heat page")
    change_brief(desk.book, study_id, changed, note=f"kept what a log says of the oven {name}")
    carried = {k: v for k, v in _carried(form) if k not in ("fit", "kept", "own")}
    return go(f"/study/{study_id}/heat?{urlencode({**carried, 'own': name, 'kept': name})}")


def show_heat(desk: Desk, study_id: str, form: Typed) -> Response:
    """The page for what is asked."""
    standing = desk.standing(study_id)
    study, root = standing.study, f"/study/{study_id}"
    us = measures_of(study, form.get("measures") or None) == "US"
    curve, asked, answer, fitted, oven, error = None, None, None, None, None, ""
    came_out: tuple[float, ...] = ()
    try:
        asked = _read(study, form)
        given = setting(study, asked)
        curve = heat_curve(**given, altitude_m=study.brief.kitchen.altitude_m)
        if form.get("readers"):
            came_out = _out_times(standing, asked.texts["food"])
            answer = heat(**given, kitchens=KITCHENS, out_min=came_out, own_altitude_m=study.brief.kitchen.altitude_m)
        if form.get("fit"):
            fitted = _fitted(asked)
            oven = _oven_part(study, fitted, form, us, f"{root}/heat/oven")
    except ProofpanError as fault:
        error = str(fault)
    says = ((*answer.says, *(curve.says[1:] if curve else ())) if answer else curve.says if curve else ())
    from proofpan.science.heat import NO_SUM, TOGETHER, targets

    picked = own_oven(study, asked) if asked else None
    values = {s.name: form.get(s.name) or f"{s.at_first:g}" for s in sliders(us)}
    model = HeatPage(
        headline=in_measures(says[0], us) if says else NO_SUM if error.startswith(NO_SUM) else "No sum yet.",
        under=_under(study, picked, us) if curve else "Nothing is worked out until this is put right.",
        says=tuple(in_measures(line, us) for line in says[1:]),
        cautions=tuple(answer.cautions if answer else curve.cautions if curve else (MODEL_NOTE,)),
        sources=answer.sources if answer else (),
        picture=picture(curve, asked.overlay, us, tuple((m, f) for m, _, f in fitted.curve) if fitted else ()) if curve and asked else Markup(),
        matters=tuple((n, f"{100 * share:.0f} %", f"{abs(m):.1f} min") for n, share, m in answer.matters if share >= 0.005) if answer else (),
        ready=ready_picture(answer.ready, answer.window_min, came_out) if answer else Markup(),
        ready_says=ready_words(answer.ready) if answer and answer.ready else "",
        sliders=tuple((s.name, s.label, f"{s.least:g}", f"{s.most:g}", f"{s.step:g}", values[s.name]) for s in sliders(us)),
        texts=fields_of(dict(_carried(form))), shapes=SHAPES, stages=STAGES, targets=(*TOGETHER, *targets()),
        ovens=tuple((o.name, _known_of(o, us)) for o in study.brief.kitchen.ovens),
        measures="US" if us else "metric", degree="°F" if us else "°C", length="inches" if us else "cm", core="165" if us else "74",
        free=tuple((name, name in (form.many("free") or FREE[:2])) for name in FREE),
        came_out=bool(came_out), oven=oven, kept=form.get("kept") if not error else "", action=f"{root}/heat", recipe_href=f"{root}/recipe",
    )
    return show("heat", model, desk.frame("Heat", standing, "recipe", error=in_measures(error or desk.error, us)), 422 if error else 200)


def _carried(form: Typed) -> list[tuple[str, str]]:
    """What stands in the address, the form's own fields left out."""
    names = {n for n, _ in TEXTS} | {s.name for s in sliders(False)} | {"measures", "fit", "kept"}
    return [(n, v) for n, v in form.texts if n in names]


def _read(study: Study, form: Typed) -> Asked:
    return read(study, dict(_carried(form)), tuple(form.many("free")) or FREE[:2])


def _fitted(asked: Asked) -> FitAnswer:
    """Our oven from the log that was laid over the curve.

    Raises: StudyError; QuantityError.
    """
    if "oven" not in asked.last:
        raise StudyError("A log tells of an oven: choose oven or fan oven under “Cooked in”, and the temperature that it was set to.")
    if asked.stages[:-1]:
        raise StudyError("A log tells of one stage: leave out what comes before, and begin the log when the piece went into the oven.")
    if len(asked.overlay) < FEWEST_READINGS:
        raise StudyError(f"A log of at least {FEWEST_READINGS} readings is needed, minutes and degrees of the core, from when the piece went in.")
    return _read_oven(asked.overlay, asked.texts["food"], asked.texts["shape"], asked.sizes_cm, asked.stages, asked.free)


@lru_cache(maxsize=16)
def _read_oven(
    overlay: tuple[tuple[float, float], ...], food: str, shape: str, sizes_cm: tuple[float, ...], stages: tuple[str, ...], free: tuple[str, ...]
) -> FitAnswer:
    """The fit takes seconds, and what was shown is kept a moment later."""
    from proofpan.science.probe import ProbeError, probe_log

    minutes, degrees = zip(*overlay, strict=True)
    try:
        log = probe_log([60 * m for m in minutes], degrees)
    except ProbeError as error:
        raise StudyError(str(error)) from None
    return fit(log, food, shape, sizes_cm, stages, free)


def _oven_part(study: Study, fitted: FitAnswer, form: Typed, us: bool, action: str) -> OvenPart:
    def row(name: str, value: float, low: float, high: float, unit: str, known: bool) -> tuple[str, str, str, str]:
        if not known:
            return name.capitalize(), "this log can’t say", "–", "–"
        by, shown = {"°C": (1.8, "°F"), "cm": (1 / INCH_CM, "inch")}.get(unit, (1.0, unit)) if us else (1.0, unit)
        return name.capitalize(), f"{value * by:.3g} {shown}", f"{low * by:.3g}", f"{high * by:.3g}"

    rows = tuple(row(*estimate) for estimate in fitted.estimates)
    told = any(known and name != "size" for name, *_, known in fitted.estimates)
    names = tuple(o.name for o in study.brief.kitchen.ovens) if told else ()
    says = [line for line in fitted.says if "can't tell" in line]
    says.append(f"The sum runs within {fitted.residual_sd_c:.1f} K of the log (standard deviation). Intervals: 95 %.")
    if told and not names:
        says.append("To keep it, name an oven in the brief’s kitchen first.")
    asked = tuple((n, v) for n, v in _carried(form) if n != "kept") + tuple(("free", name) for name in form.many("free"))
    return OvenPart(tuple(says), rows, names, asked, action)


def _under(study: Study, oven: Any, us: bool) -> str:
    height = study.brief.kitchen.altitude_m
    where = f" at {height / 0.3048:.0f} feet above the sea" if us else f" at {height:.0f} m above the sea"
    where = where if height >= 100 else ""
    by = f", with what a log said of the oven {oven.name}" if oven is not None and (oven.heat_transfer_w_m2k or oven.offset_c) else ""
    return f"One piece in this kitchen{where}, worked out from what it is made of{by}."


def _known_of(oven: Any, us: bool) -> str:
    if oven.offset_c is None and oven.heat_transfer_w_m2k is None:
        return f"{oven.name}: no log yet"
    off = "" if oven.offset_c is None else f", runs {oven.offset_c * (1.8 if us else 1):+.0f} {'°F' if us else '°C'}"
    return f"{oven.name}: read from a log{off}"


def _out_times(standing: Any, food: str) -> tuple[float, ...]:
    reported = []
    for event in standing.of_kind("cross-test"):
        text = str(event.payload["row"].get("out_min", "")).strip()
        if text.replace(".", "", 1).isdigit():
            reported.append(float(text))
    return out_times(standing.study, None, reported, food)
