"""Backup and restore in one tap: what is replaced is kept aside first, and one more tap puts it back."""

from __future__ import annotations

import re
import shutil
import tempfile
from pathlib import Path

from fastapi import APIRouter, Depends, Request
from starlette.background import BackgroundTask
from starlette.concurrency import run_in_threadpool
from starlette.datastructures import UploadFile
from starlette.responses import FileResponse, Response

from proofpan.notebook import Busy, NoRoom, NotebookError, StudyEntry
from proofpan.study.errors import StudyError
from proofpan.study.words import capital, counted, joined
from proofpan.web import access
from proofpan.web.desk import Desk, Stale, Typed, go, lead, typed
from proofpan.web.pages.backups.page import BackupsPage, KeptAside
from proofpan.web.rendering import show

router = APIRouter()
NAMED = 4  # so many studies are named in a sentence
LISTED = 10


def backups(desk: Desk) -> Response:
    """The page."""
    studies, files = desk.book.studies(with_deleted=True), desk.book.files()
    open_now = _open_tastings(desk)
    kept = desk.book.kept_aside()
    model = BackupsPage(
        headline="The whole notebook in one file, and back.",
        holds=f"{capital(counted(len(studies), 'study', 'studies'))} with all their drafts, marks and readings, "
        f"{counted(len(files), 'photograph or recording', 'photographs and recordings')}, and what is private to tasters: "
        "keep the file as you keep the notebook.",
        newest=f"Last changed: {studies[0].title}, {desk.local(studies[0].changed)}." if studies else "",
        open_now=f"A tasting is open ({joined(open_now)}): close it before a backup is brought back, or answers still on phones have nowhere to go."
        if open_now
        else "",
        happened=desk.kitchen.restored[0],
        undo=desk.kitchen.restored[1] if desk.kitchen.restored[1] in [p.name for p in kept] else "",
        aside=tuple(KeptAside(p.name, _when(desk, p), _size(p)) for p in kept[:LISTED]),
        where=f"{counted(len(kept), 'file')} beside the notebook" if kept else "",
    )
    return show("backups", model, desk.frame("Backup"))


def _when(desk: Desk, path: Path) -> str:
    from datetime import UTC, datetime

    return desk.local(datetime.fromtimestamp(path.stat().st_mtime, UTC).isoformat())


def _size(path: Path) -> str:
    size = path.stat().st_size
    return f"{size / 1e6:.1f} MB" if size >= 1e5 else f"{size / 1e3:.0f} kB"


def _open_tastings(desk: Desk) -> list[str]:
    return [e.title for e in desk.book.studies() if any(t.closed is None for t in desk.book.tastings(e.id))]


@router.get("/backups")
def get_backups(desk: Desk = Depends(lead)) -> Response:
    """The page."""
    return backups(desk)


@router.post("/backup")
def back_up(form: Typed = Depends(typed), desk: Desk = Depends(lead)) -> Response:
    """The whole notebook in one file, to be kept elsewhere."""
    desk.again = lambda: backups(desk)
    folder = Path(tempfile.mkdtemp(prefix="proofpan-backup-"))
    try:
        file = desk.book.backup(folder)
    except NotebookError:
        shutil.rmtree(folder, ignore_errors=True)
        raise
    return FileResponse(
        file, filename=file.name, media_type="application/zip", background=BackgroundTask(shutil.rmtree, folder, ignore_errors=True)
    )


@router.post("/backups/restore")
async def bring_back(request: Request) -> Response:
    """A backup's file as the notebook. It may be large, so it goes to the disk as it comes, never into memory."""
    desk = lead(request)
    desk.again = lambda: backups(desk)
    folder = Path(tempfile.mkdtemp(prefix="proofpan-restore-"))
    try:
        async with request.form(max_files=1, max_fields=10) as form:
            if not access.same(str(form.get("csrf", "")), access.form_token(desk.kitchen.secret, desk.session)):
                raise Stale
            given = form.get("file")
            if not isinstance(given, UploadFile) or not given.filename:
                raise StudyError("Choose a backup: the zip that “Back up the notebook” gave.", field="file")
            path = folder / (re.sub(r"[^\w.-]+", " ", Path(given.filename).name)[-80:].strip(" .") or "that file")
            await run_in_threadpool(_put_down, given, path)
        await run_in_threadpool(_restore, desk, path, f"the backup {path.name}")
    finally:
        shutil.rmtree(folder, ignore_errors=True)
    return go("/backups")


def _put_down(given: UploadFile, path: Path) -> None:
    with path.open("wb") as out:
        shutil.copyfileobj(given.file, out)


@router.post("/backups/aside")
def put_back(form: Typed = Depends(typed), desk: Desk = Depends(lead)) -> Response:
    """A notebook that was replaced, put back as it was."""
    desk.again = lambda: backups(desk)
    path = next((p for p in desk.book.kept_aside() if p.name == form.get("name")), None)
    if path is None:
        raise StudyError("There is no such file beside the notebook any more.")
    _restore(desk, path, f"what was kept aside {_when(desk, path)}")
    return go("/backups")


def _restore(desk: Desk, path: Path, what: str) -> None:
    if open_now := _open_tastings(desk):
        raise StudyError(f"A tasting is open ({joined(open_now)}): close it first. Nothing was changed.")
    if desk.kitchen.workers > 1:
        raise StudyError("Several workers serve these pages, and each remembers the notebook: stop proofpan and use “proofpan restore FILE”.")
    before = desk.book.studies()
    try:
        aside = desk.book.restore_from(path)
    except (Busy, NoRoom):
        raise
    except NotebookError as error:
        raise StudyError(str(error).replace(str(path), path.name), field="file") from None
    desk.kitchen.read_anew()
    after = desk.book.studies()
    desk.kitchen.restored = ((f"The notebook is {what}: {counted(len(after), 'study', 'studies')}.", *_differences(before, after)), aside.name)


def _differences(before: tuple[StudyEntry, ...], after: tuple[StudyEntry, ...]) -> list[str]:
    """What the replaced notebook had and this one hasn't, and the other way round."""
    old, new = {e.id: e for e in before}, {e.id: e for e in after}
    gone = [e.title for i, e in old.items() if i not in new]
    come = [e.title for i, e in new.items() if i not in old]
    other = [e.title for i, e in new.items() if i in old and (old[i].revision, old[i].changed) != (e.revision, e.changed)]
    said = (("Not in it, but in what it replaced", gone), ("In it, and not in what it replaced", come), ("As they stood then", other))
    return [f"{words}: {_some(titles)}." for words, titles in said if titles]


def _some(titles: list[str]) -> str:
    more = len(titles) - NAMED
    return joined([*titles[:NAMED], *([f"{more} more"] if more > 0 else [])])
