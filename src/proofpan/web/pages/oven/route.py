"""The ovens: a tray of sliced bread is photographed, measured, and its map kept with the oven."""

from __future__ import annotations

from fastapi import APIRouter, Depends
from markupsafe import Markup
from starlette.responses import Response

from proofpan.notebook.shelf import change_brief
from proofpan.publish.oven_map import bread_map, place_range, signed
from proofpan.steps.oven_places import keep_places, read_oven_places
from proofpan.study.bread_map import BreadMap, map_words, place_words
from proofpan.study.errors import TrialError
from proofpan.study.kitchen import Oven
from proofpan.study.words import capital
from proofpan.web.desk import Desk, Typed, go, lead, typed
from proofpan.web.pages.cook.photographs import checked_photograph
from proofpan.web.pages.oven.page import OvenPage, OvenPart
from proofpan.web.pages.readings.drawn import in_page
from proofpan.web.rendering import show

router = APIRouter()
MOST_TRAYS = 4
GOLDEN = "Toast it golden, not brown, and don't eat the dark slices: dark browning of starchy food raises acrylamide. The trays are hot."


@router.get("/study/{study_id}/oven")
def get_oven(study_id: str, desk: Desk = Depends(lead)) -> Response:
    """The page."""
    return oven(desk, study_id)


@router.post("/study/{study_id}/oven")
def post_oven(study_id: str, form: Typed = Depends(typed), desk: Desk = Depends(lead)) -> Response:
    """A tray of bread is read, and its map kept with the oven that is named."""
    desk.typed = form.texts
    desk.again = lambda: oven(desk, study_id)
    straight, turned = (_photographs(form, field) for field in ("photograph", "turned"))
    found = read_oven_places(straight, turned, form.get("places"), on=desk.kitchen.clock().date())
    name = form.get("oven")
    change_brief(desk.book, study_id, keep_places(desk.standing(study_id).study, name, found), note=f"kept a bread map of the oven {name}")
    desk.typed = ()
    return oven(desk, study_id, found.cautions) if found.cautions else go(f"/study/{study_id}/oven")


def _photographs(form: Typed, field: str) -> list[bytes]:
    files = form.files(field)
    if len(files) > MOST_TRAYS:
        raise TrialError(f"{len(files)} photographs at once are many: at most {MOST_TRAYS} trays.", field=field)
    out = [f.file.read() for f in files]
    for data in out:
        checked_photograph(data)
    return out


def oven(desk: Desk, study_id: str, cautions: tuple[str, ...] = ()) -> Response:
    """What is known of the kitchen's ovens, and how to find out."""
    standing, root = desk.standing(study_id), f"/study/{study_id}"
    ovens = standing.study.brief.kitchen.ovens
    known = [o for o in ovens if o.bread is not None]
    uneven = [o for o in known if o.bread is not None and o.bread.told > 0]
    if not ovens:
        headline, under = "The brief names no oven yet.", "Say there how many trays it has and how many places a tray."
    elif not known:
        headline = "Does your oven brown evenly? A tray of sliced bread says so."
        under = "Before any trial: cover a tray with slices of one loaf, toast them golden, and photograph the tray, once as it stood and once turned round."
    elif uneven:
        headline, under = map_words(uneven[0].bread)[0] if uneven[0].bread else "", "Kept with the oven, and said before each round."
    else:
        headline, under = "The places weren’t told apart. Nothing has to change.", "Kept with the oven."
    first = ovens[0] if ovens else None
    model = OvenPage(
        headline=headline, under=under, ovens=tuple(_part(o) for o in ovens),
        layout=f"{first.bread.rows}x{first.bread.columns}" if first and first.bread else f"1x{first.places}" if first and 2 <= first.places <= 6 else "2x3",
        cautions=cautions, caution=GOLDEN, action=f"{root}/oven", brief_href=f"{root}/brief", day_href=f"{root}/day", heat_href=f"{root}/heat",
    )
    return show("oven", model, desk.frame("Oven", standing, "day", scripts=("keep", "upload")))


def _part(one: Oven) -> OvenPart:
    bread = one.bread
    if bread is None:
        return OvenPart(one.name, one.kind, (), Markup(), (), "")
    return OvenPart(one.name, one.kind, map_words(bread), in_page(bread_map(bread)), _rows(bread), f"{bread.on:%-d %B %Y}" if bread.on else "")


def _rows(bread: BreadMap) -> tuple[tuple[str, str, str], ...]:
    return tuple((capital(place_words(bread, p)), signed(x), place_range(bread, p)) for p, x in enumerate(bread.darker))
