"""A tester's pack by link, and the answers that come back by it; who has the link is the tester."""

from __future__ import annotations

from fastapi import APIRouter, Request
from starlette.concurrency import run_in_threadpool
from starlette.datastructures import UploadFile
from starlette.responses import Response

from proofpan.notebook import NotFound
from proofpan.steps.making import recipe_of
from proofpan.steps.tester_pack import check_row, in_celsius, main_step, row_of, tester_pack, with_done
from proofpan.study.crosstest import TesterPack
from proofpan.study.errors import ProofpanError, StudyError
from proofpan.web import access
from proofpan.web.cross_tests import CROSS_TEST, SentPack, digest_of, keep_picture, pack_of, packs_of
from proofpan.web.desk import LONGEST_FIELD, Kitchen, Typed
from proofpan.web.frame import Frame
from proofpan.web.pages.plain.page import PlainPage
from proofpan.web.pages.tester.page import PackPage
from proofpan.web.rendering import show
from proofpan.web.shelfcache import Standing

router = APIRouter()


def _opened(request: Request, study_id: str, word: str) -> tuple[Standing, SentPack] | Response:
    """The pack behind a link, or a page that says why not."""
    kitchen: Kitchen = request.app.state.kitchen
    who = access.address_of(request)
    if kitchen.guesses.spent(who):
        return _plain("Too many wrong tries. Wait a minute.", 429)
    try:
        standing = kitchen.shelf.standing(study_id)
        sent = pack_of(packs_of(standing), word)
    except (NotFound, ProofpanError):
        sent = None
    if sent is None:
        kitchen.guesses.count(who)
        return _plain("This link opens nothing.", 404)
    return standing, sent


def _plain(says: str, status: int) -> Response:
    return show("plain", PlainPage(says=says, more="Ask whoever sent it for another.", back=False), Frame(title="proofpan"), status)


def _page(standing: Standing, sent: SentPack, action: str, *, done: bool = False, error: str = "", typed: tuple[tuple[str, str], ...] = ()) -> Response:
    pack: TesterPack = tester_pack(standing.study, sent.version, measures=sent.measures, tester=sent.tester, control=sent.control or None)
    from proofpan.publish.tester import contains, control_lines, control_request

    out = pack.recipe
    facts = (f"Makes {out.makes}" if out.makes else "", f"Serves {out.serves:g}" if out.serves else "",
             f"About {out.total_minutes:.0f} minutes" if out.total_minutes else "")
    model = PackPage(
        done=done, title=out.title, facts=tuple(f for f in facts if f), contains=contains(pack), cautions=out.cautions,
        take=tuple((x.group or "", x.text) for x in out.lines), steps=pack.steps, lines=pack.lines, notes=out.notes,
        unit="°C" if pack.celsius else "°F", control=pack.control, control_request=control_request(),
        control_lines=tuple(control_lines(pack)), tester=pack.tester, action=action, invented=out.invented,
    )
    return show("tester", model, Frame(title=f"Test: {out.title}", error=error, typed=typed), 422 if error else 200)


@router.get("/x/{study_id}/{word}")
def get_pack(study_id: str, word: str, request: Request) -> Response:
    """The pack."""
    found = _opened(request, study_id, word)
    return found if isinstance(found, Response) else _page(*found, f"/x/{study_id}/{word}")


@router.post("/x/{study_id}/{word}")
async def post_pack(study_id: str, word: str, request: Request) -> Response:
    """The answers; the link itself is what says that they are this tester's."""
    found = await run_in_threadpool(_opened, request, study_id, word)
    if isinstance(found, Response):
        return found
    async with request.form(max_files=1, max_fields=400, max_part_size=LONGEST_FIELD) as form:
        texts = tuple((n, v.strip()) for n, v in form.multi_items() if isinstance(v, str))
        photo = form.get("photo")
        picture = (await photo.read(), photo.content_type or "") if isinstance(photo, UploadFile) and photo.filename else None
    return await run_in_threadpool(_keep, request.app.state.kitchen, found, Typed(list(texts)), picture, f"/x/{study_id}/{word}")


def _keep(kitchen: Kitchen, found: tuple[Standing, SentPack], form: Typed, picture: tuple[bytes, str] | None, action: str) -> Response:
    standing, sent = found
    study = standing.study
    try:
        row = in_celsius(with_done(row_of(dict(form.texts)), main_step(recipe_of(study, study.version(sent.version)))), sent.measures)
        check_row(study, sent.version, row)
        if picture is not None:
            row = {**row, "photo": keep_picture(kitchen.book, *picture)}
    except StudyError as error:
        return _page(standing, sent, action, error=str(error), typed=form.texts)
    key = digest_of(repr(sorted(row.items())) + sent.digest)[:24]
    kitchen.book.append(standing.study_id, CROSS_TEST, {"version": sent.version, "row": row, "pack": sent.key}, key=f"cross-test:{key}")
    return _page(standing, sent, action, done=True)
