"""Heat: how long, how sure, and in whose oven."""

from __future__ import annotations

from typing import Any

from fastapi import APIRouter, Depends, Request
from markupsafe import Markup
from starlette.responses import Response

from proofpan.steps.heat import MODEL_NOTE, heat
from proofpan.steps.heat_curve import heat_curve
from proofpan.steps.heat_kitchen import out_times
from proofpan.study.errors import ProofpanError, StudyError
from proofpan.web.desk import Desk, lead
from proofpan.web.pages.heat.drawing import picture, ready_picture, ready_words
from proofpan.web.pages.heat.page import HeatPage
from proofpan.web.rendering import show

router = APIRouter()
KITCHENS = 32
MOST_LOG = 20_000
SHAPES = ("cube", "slab", "one-sided slab", "cylinder", "sphere")
STAGES = ("boil", "simmer", "steam", "oven", "fan oven", "grill", "sear")
WATERY = ("boil", "simmer", "steam")
SLIDERS = (
    ("size", "Size, cm", 1.0, 12.0, 0.1, 3.5),
    ("start", "Starts at, °C", 0.0, 30.0, 1.0, 15.0),
    ("oven", "Oven, grill or pan, °C", 120.0, 260.0, 5.0, 200.0),
)


@router.get("/study/{study_id}/heat")
def get_heat(study_id: str, request: Request, desk: Desk = Depends(lead)) -> Response:
    """The page: everything that is asked stands in its address, so that it can be kept, sent and undone with Back."""
    standing = desk.standing(study_id)
    asked = request.query_params
    root = f"/study/{study_id}"
    got: dict[str, Any] = {n: asked.get(n, d).strip()[:MOST_LOG] for n, d in (
        ("food", "potato"), ("what", ""), ("shape", "cube"), ("stage", "boil"), ("until", "tender"), ("log", ""))}
    curve, error = None, ""
    says: tuple[str, ...] = ()
    cautions: tuple[str, ...] = (MODEL_NOTE,)
    sources: tuple[str, ...] = ()
    matters: tuple[tuple[str, str, str], ...] = ()
    ready, ready_says = Markup(), ""
    overlay: tuple[tuple[float, float], ...] = ()
    values = {name: else_ for name, _, _, _, _, else_ in SLIDERS}
    try:
        values = {name: _number(asked.get(name), label, low, high, else_) for name, label, low, high, _, else_ in SLIDERS}
        setting = _setting(standing.study, got, values)
        overlay = _log(got["log"])
        curve = heat_curve(**setting, altitude_m=standing.study.brief.kitchen.altitude_m)
        says, cautions = curve.says, curve.cautions
        if asked.get("readers"):
            answer = heat(**setting, kitchens=KITCHENS, out_min=_out_times(standing, got["food"]))
            says, cautions, sources = (*answer.says, *curve.says[1:]), answer.cautions, answer.sources
            ready = ready_picture(answer.ready, answer.window_min)
            ready_says = ready_words(answer.ready) if answer.ready else ""
            matters = tuple((n, f"{100 * share:.0f} %", f"{abs(m):.1f} min") for n, share, m in answer.matters if share >= 0.005)
    except ProofpanError as fault:
        error = str(fault)
    from proofpan.science.heat import TOGETHER, targets

    model = HeatPage(
        headline=says[0] if says else error or "No sum yet.",
        under="One piece in this kitchen, worked out from what it is made of." if curve else "Nothing is worked out until this is put right.",
        says=tuple(says[1:]),
        cautions=tuple(cautions),
        sources=tuple(sources),
        picture=picture(curve, overlay) if curve else Markup(),
        matters=matters,
        ready=ready,
        ready_says=ready_says,
        sliders=tuple((n, label, f"{a:g}", f"{b:g}", f"{step:g}", f"{values[n]:g}") for n, label, a, b, step, _ in SLIDERS),
        food=got["food"], what=got["what"], shape=got["shape"], shapes=SHAPES, stage=got["stage"], stages=STAGES, until=got["until"],
        targets=(*TOGETHER, *targets()), log=got["log"], action=f"{root}/heat", recipe_href=f"{root}/recipe",
    )
    return show("heat", model, desk.frame("Heat", standing, "heat", error=error), 422 if error else 200)


def _number(text: str | None, label: str, low: float, high: float, else_: float) -> float:
    try:
        value = float((text or "").replace(",", ".") or else_)
    except ValueError:
        raise StudyError(f"“{str(text)[:20]}” isn't a number for {label}.") from None
    if not low <= value <= high:
        raise StudyError(f"{label}: a number from {low:g} to {high:g} is wanted.")
    return value


def _setting(study: Any, got: dict[str, Any], values: dict[str, float]) -> dict[str, Any]:
    """What the step is asked, with what a log said of this kitchen's oven where there is one of the kind."""
    kind = got["stage"]
    stage = kind if kind in WATERY else f"{kind} {values['oven']:g}"
    own = next((o for o in study.brief.kitchen.ovens if ("fan oven" if o.kind == "fan" else "oven") == kind), None)
    return {
        "food": got["food"], "shape": got["shape"],
        "sizes_cm": (values["size"],), "stages": (stage,), "until": (got["until"],), "what": got["what"],
        "start_c": values["start"], "heat_transfer_w_m2k": own.heat_transfer_w_m2k if own else None, "oven_offset_c": (own.offset_c or 0.0) if own else 0.0,
    }


def _out_times(standing: Any, food: str) -> tuple[float, ...]:
    reported = []
    for event in standing.of_kind("cross-test"):
        text = str(event.payload["row"].get("out_min", "")).strip()
        if text.replace(".", "", 1).isdigit():
            reported.append(float(text))
    return out_times(standing.study, None, reported, food)


def _log(text: str) -> tuple[tuple[float, float], ...]:
    """A probe's log as lines of minutes and degrees.

    Raises: StudyError, naming the line.
    """
    out = []
    for i, line in enumerate(text.splitlines(), 1):
        cells = line.replace(";", " ").replace(",", " ").split()
        if not cells:
            continue
        try:
            minute, degrees = (float(c) for c in cells[:2])
        except ValueError:
            raise StudyError(f"Line {i} of the log isn't minutes and degrees, such as: 2.5 31.0.") from None
        if not (0 <= minute <= 1500 and -40 <= degrees <= 400):
            raise StudyError(f"Line {i} of the log is out of reach: minutes from 0, degrees from −40 to 400.")
        out.append((minute, degrees))
    return tuple(out)
