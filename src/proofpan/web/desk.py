"""The lead's desk: what a page of the kitchen needs from a request, and the forms that come back."""

from __future__ import annotations

import asyncio
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import datetime
from functools import partial
from typing import Any

from fastapi import Request
from starlette.datastructures import UploadFile
from starlette.responses import RedirectResponse, Response

from proofpan.notebook import Notebook, Seat
from proofpan.study.errors import StudyError
from proofpan.study.study import Study
from proofpan.web import access
from proofpan.web.acknowledging import Acknowledging
from proofpan.web.found import Findings
from proofpan.web.frame import Frame
from proofpan.web.kept import Kept
from proofpan.web.ruler import ruler_of
from proofpan.web.shelfcache import Shelf, Standing
from proofpan.web.work import Works

LONGEST_FIELD = 200_000
DECLINING = ("not that: ", "considered again: ", "ruled out ", "allowed ")  # changes that are made, and so undone, on any page


class NotTheLead(Exception):
    """No session: the page belongs to the lead."""


class Stale(Exception):
    """A form without its token, or with another session's."""


@dataclass
class Kitchen:
    """What the whole server shares."""

    book: Notebook
    shelf: Shelf
    kept: Kept
    works: Works
    clock: Callable[[], datetime]
    secret: str
    open_to_phones: bool
    address: str
    rinse_seconds: int
    workers: int
    guesses: access.Allowance  # of tasters' words
    knocks: access.Allowance  # at the lead's door, apart: guessing words mustn't shut the lead out
    # whose words these were and from which addresses they came; a mark is kept only if they still are
    tokens: dict[str, tuple[Seat, frozenset[str]]] = field(default_factory=dict)
    places: dict[Seat, Any] = field(default_factory=dict)  # what their marks are read by, as it stood when it was last looked at
    seen: dict[tuple[str, int, str], tuple[datetime, int]] = field(default_factory=dict)
    begun: dict[str, str] = field(default_factory=dict)  # {key of a form that began a study: where it led}
    findings: Findings = field(init=False)
    restored: tuple[tuple[str, ...], str] = ((), "")  # what the last restore changed, and the file that undoes it
    _keeping: Acknowledging | None = field(default=None, init=False, repr=False)

    def __post_init__(self) -> None:
        """Nothing is known of any study yet."""
        self.findings = Findings(self.shelf)

    def keeping(self) -> Acknowledging:
        """What carries the notebook's word to the event loop that runs here."""
        loop = asyncio.get_running_loop()
        if self._keeping is None or self._keeping.loop is not loop:
            self._keeping = Acknowledging(self.book, loop)
        return self._keeping

    def read_anew(self) -> None:
        """Forget everything that was read: the notebook was replaced, and its numbers may stand for something else now."""
        self.shelf, self.kept = Shelf(self.book), Kept(self.book)
        self.findings = Findings(self.shelf)
        for held in (self.tokens, self.places, self.seen, self.begun):
            held.clear()


class Typed:
    """A form as it came: texts, lists of texts, files."""

    def __init__(self, items: list[tuple[str, Any]]) -> None:
        self._items = items

    def get(self, name: str, else_: str = "") -> str:
        """One field's text, without spaces around it."""
        return next((v for n, v in self._items if n == name and isinstance(v, str)), else_).strip()[:LONGEST_FIELD]

    def many(self, name: str) -> list[str]:
        """Every text of that name that isn't empty."""
        return [v.strip() for n, v in self._items if n == name and isinstance(v, str) and v.strip()]

    def whole(self, name: str, else_: int, low: int, high: int) -> int:
        """A whole number between two ends.

        Raises: StudyError naming the field.
        """
        text = self.get(name)
        if not text:
            return else_
        if not text.isdigit() or not low <= int(text) <= high:
            raise StudyError(f"“{text[:20]}” isn't a whole number from {low} to {high}.", field=name)
        return int(text)

    def file(self, name: str) -> UploadFile | None:
        """An uploaded file, if one was chosen."""
        return next((v for n, v in self._items if n == name and isinstance(v, UploadFile) and v.filename), None)

    def files(self, name: str) -> list[UploadFile]:
        """Every uploaded file of that name."""
        return [v for n, v in self._items if n == name and isinstance(v, UploadFile) and v.filename]

    def under(self, start: str) -> dict[str, str]:
        """Fields whose name begins so, without that beginning."""
        return {n[len(start) :]: v.strip() for n, v in self._items if n.startswith(start) and isinstance(v, str)}

    @property
    def texts(self) -> tuple[tuple[str, str], ...]:
        """Everything that was typed, to be shown again."""
        return tuple((n, v) for n, v in self._items if isinstance(v, str) and n not in ("csrf", "base", "once"))


@dataclass
class Desk:
    """One request of the lead's."""

    request: Request
    kitchen: Kitchen
    session: str
    error: str = ""
    error_field: str = ""
    typed: tuple[tuple[str, str], ...] = ()
    again: Callable[[], Response] | None = None

    @property
    def book(self) -> Notebook:
        """The notebook."""
        return self.kitchen.book

    def standing(self, study_id: str) -> Standing:
        """A study as it stands."""
        return self.kitchen.shelf.standing(study_id)

    def frame(self, title: str, standing: Standing | None = None, step: str = "", **more: Any) -> Frame:
        """The layout's part of a page."""
        base: dict[str, Any] = {
            "title": title,
            "csrf": access.form_token(self.kitchen.secret, self.session),
            "error": self.error,
            "error_field": self.error_field,
            "typed": self.typed,
            "page": step,
            "scripts": ("keep",),
        }
        if standing is not None:
            history = self.book.history(standing.study_id)
            last = history[-1]
            undone = last.note if last.same_as is not None else ""
            base |= {
                "words": partial(our_words, standing.study),
                "study": standing.study.title,
                "study_href": f"/study/{standing.study_id}",
                "revision": standing.revision,
                "steps": ruler_of(self.book, standing, step),
                "quick": is_quick(standing),
                "who": who_of(standing),
                "kept": f"Kept {self.local(last.at)}",
                "undo_href": f"/study/{standing.study_id}",
            }
            if step == "brief" or undone.split(": ", 1)[-1].startswith(DECLINING) or last.note.startswith(DECLINING):
                base |= {
                    "undo_back": step,
                    "undo": last.note if len(history) > 1 and not undone else "",
                    "undone": undone,
                    "redo": f"Redo: {undone.split(': ', 1)[-1]}" if undone.startswith("Undid") else "",
                }
        return Frame(**{**base, **more})

    def local(self, stamp: str) -> str:
        """A stamp of the notebook as a time of day, with the date when it isn't today's."""
        here = datetime.fromisoformat(stamp).astimezone()
        now = self.kitchen.clock().astimezone()
        return f"{here:%H:%M}" if here.date() == now.date() else f"{here.day} {here:%b %H:%M}"


def our_words(study: Study, text: str) -> str:
    """A sentence or a label of ours in the kitchen's spelling, words and names of foods."""
    from proofpan.study import house_words

    return house_words.our_words(text, study)


def is_quick(standing: Standing) -> bool:
    """Whether a study is still a quick comparison: begun as one, and nothing was added that needs a kitchen."""
    study = standing.study
    return bool(standing.of_kind("quick")) and study.brief.base is None and len(study.factors) == 1


def who_of(standing: Standing) -> str:
    """Whose kitchen it is, as far as it matters: an invented one says so."""
    return "An invented kitchen" if standing.study.brief.invented else ""


def lead(request: Request) -> Desk:
    """The lead's desk, for anyone who came by the secret link.

    Raises: NotTheLead.
    """
    kitchen: Kitchen = request.app.state.kitchen
    session = access.session_of(kitchen.secret, request.cookies.get(access.COOKIE))
    if session is None:
        raise NotTheLead
    desk = Desk(request, kitchen, session)
    request.state.desk = desk
    return desk


async def typed(request: Request) -> Typed:
    """A form of the lead's, checked to be from the lead's own page.

    Raises: NotTheLead; Stale.
    """
    desk = lead(request)
    async with request.form(max_files=40, max_fields=4000, max_part_size=LONGEST_FIELD * 5) as form:
        items = [(n, v) for n, v in form.multi_items()]
        token = next((v for n, v in items if n == "csrf" and isinstance(v, str)), "")
        if not access.same(token, access.form_token(desk.kitchen.secret, desk.session)):
            raise Stale
        out = Typed([(n, _Held(v) if isinstance(v, UploadFile) and v.filename else v) for n, v in items])
    desk.typed = out.texts
    return out


class _Held(UploadFile):
    """A file read into memory, as the form is closed before the page's code runs."""

    def __init__(self, given: UploadFile) -> None:
        import io

        given.file.seek(0)
        super().__init__(io.BytesIO(given.file.read()), filename=given.filename, headers=given.headers)


def go(where: str) -> RedirectResponse:
    """After a form: to a page that may be loaded again."""
    return RedirectResponse(where, 303)
