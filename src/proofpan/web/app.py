"""The app: pages put together, errors turned into sentences by their field, headers on everything."""

from __future__ import annotations

import errno
import os
import re
import tempfile
import time
from collections.abc import AsyncIterator, Callable, Mapping, Sequence
from contextlib import asynccontextmanager
from datetime import datetime
from functools import partial
from importlib import import_module
from pathlib import Path
from typing import Any

from fastapi import APIRouter, FastAPI, Request
from starlette.concurrency import run_in_threadpool
from starlette.responses import FileResponse, PlainTextResponse, Response
from starlette.staticfiles import StaticFiles

from proofpan.notebook import Busy, Conflict, NoRoom, Notebook, NotebookError, NotFound
from proofpan.notebook.place import Place
from proofpan.study.errors import LONGEST, ProofpanError, shorten
from proofpan.study.words import capital
from proofpan.web import access
from proofpan.web.desk import Kitchen, NotTheLead, Stale, go
from proofpan.web.frame import Frame
from proofpan.web.headers import Guard
from proofpan.web.kept import Kept
from proofpan.web.pages.ballot.quick import QuickMarks
from proofpan.web.rendering import show
from proofpan.web.shelfcache import Shelf
from proofpan.web.work import Works

HERE = Path(__file__).parent
PAGES = (
    "first",
    "begin",
    "brief",
    "sources",
    "rounds",
    "day",
    "cook",
    "tasting",
    "ballot",
    "paper",
    "codes",
    "alone",
    "triangles",
    "readings",
    "reading",
    "heat",
    "oven",
    "verdict",
    "recipe",
    "cross_tests",
    "tester",
    "how_we_tested",
    "editions",
    "edition",
    "present",
    "notebook",
    "backups",
    "papers",
    "designs",
    "work",
)
RINSE_SECONDS = 30
GRID_CELL = re.compile(r".+/[\d+]+-\w+")  # a taster, a plate or a set, a column


def create_app(
    notebook: Notebook,
    *,
    clock: Callable[[], datetime],
    secret: str,
    kitchen: bool = False,
    address: str = "",
    rinse_seconds: int = RINSE_SECONDS,
    workers: int = 1,
) -> FastAPI:
    """The kitchen's pages over a notebook.

    Parameters: notebook, open; clock, gives the time with its zone; secret, from which the lead's link and all tokens are made; kitchen,
        whether phones may reach it; address, where they do (http://…:8765); rinse_seconds, between two plates; workers, processes
        that serve these pages.
    """
    works = Works(notebook.place.media / "work", {"reading": partial(_keep_reading, notebook)})

    @asynccontextmanager
    async def open_hours(app: FastAPI) -> AsyncIterator[None]:
        yield
        works.close()

    app = FastAPI(docs_url=None, redoc_url=None, openapi_url=None, lifespan=open_hours)
    app.state.kitchen = Kitchen(
        book=notebook,
        shelf=Shelf(notebook),
        kept=Kept(notebook),
        works=works,
        clock=clock,
        secret=secret,
        open_to_phones=kitchen,
        address=address.rstrip("/"),
        rinse_seconds=rinse_seconds,
        workers=workers,
        guesses=access.Allowance(12, 120, time.monotonic),
        knocks=access.Allowance(12, 10_000, time.monotonic),
    )
    app.add_middleware(Guard)
    app.add_middleware(QuickMarks, kitchen=app.state.kitchen)
    app.include_router(_doors())
    for name in PAGES:
        app.include_router(import_module(f"proofpan.web.pages.{name}.route").router)
    app.mount("/static", StaticFiles(directory=HERE / "static"))
    _sentences(app)
    return app


def _keep_reading(book: Notebook, study_id: str, asked: Mapping[str, Any], report: Any, files: Sequence[Path]) -> None:
    from proofpan.web.pages.readings.bring import keep_reading

    keep_reading(book, study_id, asked, report, [f.read_bytes() for f in files])


def _doors() -> APIRouter:
    router = APIRouter()

    @router.get("/in/{word}")
    def come_in(word: str, request: Request) -> Response:
        """The lead's secret link."""
        kitchen: Kitchen = request.app.state.kitchen
        who = access.address_of(request)
        if kitchen.knocks.spent(who):
            return _plain(request, "Too many wrong tries. Wait a minute.", 429)
        if not access.same(word, access.link_word(kitchen.secret)):
            kitchen.knocks.count(who)
            raise NotTheLead
        answer = go("/")
        answer.set_cookie(
            access.COOKIE,
            access.new_session(kitchen.secret),
            max_age=30 * 86400,
            httponly=True,
            samesite="strict",
            path="/",
        )
        return answer

    @router.get("/pages/{name}.{kind}")
    def of_page(name: str, kind: str) -> Response:
        """A page's own style or script."""
        folder = name.replace("-", "_")
        if folder not in (*PAGES, "plain") or kind not in ("css", "js"):
            return PlainTextResponse("Not here.", 404)
        file = HERE / "pages" / folder / f"page.{kind}"
        if not file.is_file():
            return PlainTextResponse("Not here.", 404)
        return FileResponse(file, media_type="text/css" if kind == "css" else "text/javascript", headers={"cache-control": "no-cache"})

    @router.get("/favicon.ico")
    def icon() -> Response:
        """The plate."""
        return FileResponse(HERE / "static" / "plate.svg", media_type="image/svg+xml")

    return router


def _plain(request: Request, says: str, status: int, more: str = "") -> Response:
    from proofpan.web.pages.plain.page import PlainPage

    is_lead = access.session_of(request.app.state.kitchen.secret, request.cookies.get(access.COOKIE)) is not None
    return show("plain", PlainPage(says=says, more=more, back=is_lead), Frame(title="proofpan"), status)


def _sentences(app: FastAPI) -> None:
    """Turn the house's errors into pages."""

    @app.exception_handler(NotTheLead)
    def not_the_lead(request: Request, error: Exception) -> Response:
        return _plain(
            request,
            "This page is the kitchen's.",
            403,
            "Open the link that was printed where proofpan was started. Tasters: scan the code on the door card, or go to /t.",
        )

    @app.exception_handler(Stale)
    def stale(request: Request, error: Exception) -> Response:
        return _plain(
            request, "This form is from another start of proofpan.", 403, "Nothing was changed. Load the page again and send it once more."
        )

    @app.exception_handler(ProofpanError)
    async def bad_entry(request: Request, error: ProofpanError) -> Response:
        return await run_in_threadpool(_again, request, _beside_its_field(error), error.field, 422)

    @app.exception_handler(NotFound)
    async def not_found(request: Request, error: NotFound) -> Response:
        return await run_in_threadpool(_again, request, str(error), "", 404)

    @app.exception_handler(Conflict)
    async def conflict(request: Request, error: Conflict) -> Response:
        return await run_in_threadpool(_again, request, str(error), "", 409)

    @app.exception_handler(Busy)
    async def busy(request: Request, error: Busy) -> Response:
        return await run_in_threadpool(_again, request, str(error), "", 503)

    @app.exception_handler(NoRoom)
    async def no_room(request: Request, error: NoRoom) -> Response:
        return await run_in_threadpool(_again, request, str(error), "", 507)

    @app.exception_handler(OSError)
    async def disk(request: Request, error: OSError) -> Response:
        full = error.errno in (errno.ENOSPC, errno.EDQUOT)
        says = (
            "The kitchen’s computer has no room left on its disk, so this wasn’t taken; all before it is safe. Free some space and send it again."
            if full
            else f"The kitchen’s computer couldn’t use a file ({(error.strerror or 'no reason given').lower()}), so this wasn’t done; "
            "all before it is safe."
        )
        return await run_in_threadpool(_again, request, says, "", 507 if full else 500)

    @app.exception_handler(NotebookError)
    async def trouble(request: Request, error: NotebookError) -> Response:
        return await run_in_threadpool(_again, request, str(error), "", 500)

    @app.exception_handler(404)
    def nowhere(request: Request, error: Exception) -> Response:
        return _plain(request, "There is no such page.", 404)


def without_folders(says: str, place: Place) -> str:
    """A sentence in which files are called by their names: where the folders lie is for the one who started proofpan."""
    if place.file is None:
        return says.replace(f" {place}", "")
    for folder in (place.media, place.media.parent, place.file.parent, Path(tempfile.gettempdir())):
        says = re.sub(rf"{re.escape(f'{folder}{os.sep}')}(?:[\w.-]+{re.escape(os.sep)})*", "", says)
    return says


def _beside_its_field(error: ProofpanError) -> str:
    """The sentence as it stands by its field: whole by itself it needs no field's name before it, which is the form's own and no word of the kitchen's."""
    sentence = error.what[:1].isupper() or error.what[:1] == "“" or re.fullmatch(r"\w+-\d+", error.field)
    alone = re.fullmatch(r"[\w.\[\]-]+", error.field) and sentence or GRID_CELL.fullmatch(error.field)
    whole = error.file is None and error.line is None and alone
    return shorten(capital(error.what), LONGEST) if whole and (not error.more or "[" in error.field) else str(error)


def _again(request: Request, says: str, field: str, status: int) -> Response:
    """The page that the form was on, with the sentence and what was typed; else a page with the sentence alone."""
    says = without_folders(says, request.app.state.kitchen.book.place)
    desk = getattr(request.state, "desk", None)
    if desk is None or desk.again is None:
        return _plain(request, says, status)
    desk.error, desk.error_field = says, field
    again, desk.again = desk.again, None
    try:
        answer: Response = again()
    except (ProofpanError, NotebookError):
        return _plain(request, says, status)
    answer.status_code = status
    return answer
