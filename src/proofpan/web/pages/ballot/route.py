"""What a taster's words open: their ballot, and the marks that come back. No session, no study, no version is reachable from here."""

from __future__ import annotations

import json
from collections.abc import Callable
from functools import lru_cache, partial
from typing import Any

from fastapi import APIRouter, Depends, Request
from starlette.concurrency import run_in_threadpool
from starlette.responses import HTMLResponse, RedirectResponse, Response

from proofpan.notebook import Busy, Conflict, NoRoom, NotebookError, NotFound, Seat
from proofpan.notebook.entries import NewEvent
from proofpan.study.errors import BallotError
from proofpan.study.sittings import read_answer
from proofpan.web.access import address_of
from proofpan.web.desk import Kitchen, our_words
from proofpan.web.frame import Frame
from proofpan.web.marks import answer_event, lines_asked, lines_of, mark_events, read_marks, words_event
from proofpan.web.pages.ballot.page import BallotPage, ballot_page, door_page
from proofpan.web.places import place_of, taken_back
from proofpan.web.rendering import same_length, words_of
from proofpan.web.seats import seat_of
from proofpan.web.servings import before_tasting, dish_of
from proofpan.web.tokens import as_typed

router = APIRouter()
CHOICE = "which would you serve"
ANSWER_BYTES = 256
MOST_REMEMBERED = 5000
MOST_PLACES = 8  # addresses from which one taster's words are used
FRESH = 2.0  # seconds for which the plates that were served a moment ago are taken as still so


class Unknown(Exception):
    """These words are nobody's."""


def kitchen_of(request: Request) -> Kitchen:
    """What the server shares; anyone may ask for a taster's page, so nothing of the lead's is here."""
    kitchen: Kitchen = request.app.state.kitchen
    return kitchen


def sat(request: Request, token: str) -> tuple[Kitchen, Seat]:
    """Whose words these are, wrong guesses counted; who was let in by them from there goes on while somebody else guesses.

    Raises: Unknown.
    """
    kitchen, who = kitchen_of(request), address_of(request)
    if remembered(kitchen, token, who) is None and kitchen.guesses.spent(who):
        raise Unknown
    seat = kitchen.book.find_token(token, even_closed=True)
    if seat is None:
        kitchen.guesses.count(who)
        raise Unknown
    if len(kitchen.tokens) > MOST_REMEMBERED:
        kitchen.tokens.clear()
    held = kitchen.tokens.get(token)
    from_here = held[1] if held is not None and held[0] == seat and len(held[1]) < MOST_PLACES else frozenset()
    kitchen.tokens[token] = (seat, from_here | {who})
    return kitchen, seat


def remembered(kitchen: Kitchen, token: str, who: str) -> Seat | None:
    """Whose words these were when they were last looked up from the same address: another's guess is a guess, however often they were used.

    The notebook checks it again as it keeps a mark.
    """
    held = kitchen.tokens.get(token)
    return held[0] if held is not None and who in held[1] else None


def answer(page: BallotPage, status: int = 200, words: Callable[[str], str] | None = None) -> Response:
    """A ballot's page, its length filled up; `words` are ours as the kitchen says them, the same for every taster and plate."""
    frame = Frame(title="Ballot", scripts=("line",), words=words)
    return HTMLResponse(same_length(words_of("ballot", page, frame)), status, headers={"referrer-policy": "no-referrer"})


def door(wrong: str, status: int) -> Response:
    """Back to the door."""
    return answer(door_page(wrong), status)


def closed(kitchen: Kitchen, seat: Seat) -> bool:
    """Whether the tasting is over."""
    try:
        return kitchen.book.is_closed(seat.study_id, seat.round_number)
    except NotFound:
        return True


@router.get("/t")
def get_door() -> Response:
    """Type the words from the door card."""
    return answer(door_page())


def read_queue(body: bytes) -> dict[str, Any]:
    """What a phone's queue sent; nothing of what isn't JSON."""
    try:
        read = json.loads(body)
    except (ValueError, RecursionError):
        return {}
    return {str(k): v for k, v in read.items()} if isinstance(read, dict) else {}


async def form_of(request: Request) -> dict[str, Any]:
    """A taster's form, or the queue's JSON."""
    if request.headers.get("content-type", "").startswith("application/json"):
        return read_queue(await request.body())
    async with request.form(max_files=0, max_fields=60) as form:
        out: dict[str, Any] = {}
        for name, value in form.multi_items():  # several of one name (two plates chosen, a ranking) go together, as the phone's queue sends them
            if isinstance(value, str):
                out[name] = f"{out[name]} {value}" if name in out else value
        return out


@router.post("/t")
def post_door(request: Request, form: dict[str, Any] = Depends(form_of)) -> Response:
    """The words, as typed."""
    token = as_typed(str(form.get("words", "")))
    try:
        sat(request, token)
    except Unknown:
        return door("Those words aren’t known here. They are three, as on the card; try again in a minute if it goes on.", 404)
    return RedirectResponse(f"/t/{token}", 303)


@router.get("/t/{token}")
def get_ballot(token: str, request: Request) -> Response:
    """The next plate."""
    try:
        kitchen, seat = sat(request, token)
    except Unknown:
        return door("Those words aren’t known here. Ask the kitchen for new ones.", 404)
    return ballot(kitchen, seat, token)


def ballot(kitchen: Kitchen, seat: Seat, token: str, wrong: str = "", status: int = 200) -> Response:
    """A taster's page as their plates stand."""
    found = seat_of(kitchen, seat.study_id, seat.round_number, seat.taster)
    if found is None:
        return door("This tasting isn’t there any more.", 404)
    study, sitting, state = found.study, found.sitting, found.state
    over = closed(kitchen, seat)
    chosen = not state.waiting and any(
        e.payload["round"] == seat.round_number and e.payload["taster"] == seat.taster for e in kitchen.book.events(seat.study_id, kind=CHOICE)
    )
    doing = "closed" if over else "taste" if state.waiting else "thanks" if chosen else "choose"
    lines = lines_of(study) if sitting is None else lines_asked(sitting.asks)
    page = ballot_page(state, sitting, lines, dish_of(study), before_tasting(study, found.round), token, kitchen.rinse_seconds, doing, wrong)
    return answer(page, status, partial(our_words, study))


@router.post("/t/{token}/marks")
async def post_marks(token: str, request: Request) -> Response:
    """One plate's marks; acknowledged when they are on disk. Nothing here waits in a thread of its own but the disk."""
    form = await form_of(request)
    queued = request.headers.get("content-type", "").startswith("application/json")
    try:
        kitchen = kitchen_of(request)
        seat = remembered(kitchen, token, address_of(request)) or (await run_in_threadpool(sat, request, token))[1]
        events, gone = await events_of(kitchen, seat, form, token)
        result = await keep_events(kitchen, seat, events, token)
    except Unknown:
        return said(404, "unknown") if queued else door("Those words aren’t known here.", 404)
    except BallotError as error:
        if queued:
            return said(422, "wrong", error.what)
        return await run_in_threadpool(ballot, kitchen, seat, token, str(error), 422)
    except NotebookError as error:
        return not_taken(error, queued)
    if queued:
        return said(200 if result != "closed" else 410, result, gone)
    return RedirectResponse(f"/t/{token}", 303)


def why_not(error: NotebookError) -> tuple[int, str, str]:
    """Why the kitchen's computer couldn't keep it: the status, the queue's word for it, and a sentence."""
    if isinstance(error, NoRoom):
        return 507, "full", "The kitchen’s computer has no room left on its disk."
    if isinstance(error, Busy):
        return 503, "busy", "The kitchen’s computer is busy."
    return 500, "trouble", "Something is wrong at the kitchen’s computer."


def is_nobodys(kitchen: Kitchen, token: str) -> bool:
    """Whether words that were known are nobody's any more."""
    if kitchen.book.find_token(token, even_closed=True) is not None:
        return False
    kitchen.tokens.pop(token, None)
    return True


def not_taken(error: NotebookError, queued: bool) -> Response:
    """The kitchen's computer couldn't keep it: the phone says why, keeps it and sends it again."""
    status, word, why = why_not(error)
    return said(status, word) if queued else door(f"{why} Tell the kitchen, then go back and send your marks again: they weren’t kept yet.", status)


def said(status: int, what: str, why: str = "") -> Response:
    """An answer to the phone's queue, always as long. With a mark that was kept, `why` is which plates the kitchen has taken back."""
    return Response(answer_bytes(what, why), status, media_type="application/json")


@lru_cache(500)
def answer_bytes(what: str, why: str = "") -> bytes:
    """An answer to the phone's queue as it goes out."""
    bare = len(_as_json(what, why, ""))
    return _as_json(what, why, " " * max(0, ANSWER_BYTES - bare))


def _as_json(what: str, why: str, fill: str) -> bytes:
    return json.dumps({"answer": what, "why": why, "fill": fill}, ensure_ascii=False, separators=(",", ":")).encode("utf-8", "replace")


async def events_of(kitchen: Kitchen, seat: Seat, form: dict[str, Any], token: str) -> tuple[list[NewEvent], str]:
    """A plate's marks as events, and which plates were taken back.

    Raises: BallotError for a code that isn't theirs, or marks that can't be; Unknown when they were left out since.
    """
    code = str(form.get("code", ""))
    place = place_of(kitchen, seat, FRESH) if kitchen.shelf.is_fresh(seat.study_id, FRESH) else None
    if place is None or code not in place.plates:
        place = await run_in_threadpool(place_of, kitchen, seat)
    if place is None:
        raise BallotError("This tasting isn't there any more.")
    plate = place.plates.get(code)
    if plate is None:
        if await run_in_threadpool(is_nobodys, kitchen, token):
            raise Unknown  # nothing is wrong with what they sent
        raise BallotError("That plate isn't one of yours.")
    words, found = str(form.get("words", "")), place.seated
    if found.sitting is not None:
        given = read_answer(found.sitting, seat.taster, code, form).model_copy(update={"late": found.state.late})
        trial = plate.trial if found.sitting.by_plate else 0
        return [answer_event(given), *words_event(seat.round_number, seat.taster, trial, code, words)], place.gone
    marks = read_marks(place.lines, form)
    number, late = found.round.number, found.state.late
    events = mark_events(number, seat.taster, plate.trial, plate.pass_, marks, position=plate.place, time=clock_words(form.get("at")), late=late)
    return events + words_event(seat.round_number, seat.taster, plate.trial, plate.pass_, words), place.gone


def clock_words(given: Any) -> str:
    """The phone's time of marking, if it is one."""
    text = str(given or "")[:16]
    return (
        text
        if len(text) == 16 and text[4] == "-" and text[10] == "T" and text.replace("-", "").replace(":", "").replace("T", "").isdigit()
        else ""
    )


async def keep_events(kitchen: Kitchen, seat: Seat, events: list[NewEvent], token: str) -> str:
    """Keep them while the tasting is open and the words stand: `kept`, `first` when another mark of this plate stands already, or `closed`.

    Raises: Unknown when these words are nobody's any more.
    """
    try:
        await kitchen.keeping().keep(seat.study_id, events, seat.round_number, token)
    except NotFound:
        kitchen.tokens.pop(token, None)
        raise Unknown from None
    except Conflict:
        return "closed" if await run_in_threadpool(closed, kitchen, seat) else "first"
    return "kept"


@router.post("/t/{token}/choice")
async def post_choice(token: str, request: Request) -> Response:
    """Which plate they would serve, and whether their words may be quoted."""
    form = await form_of(request)
    queued = request.headers.get("content-type", "").startswith("application/json")
    try:
        kitchen, seat = await run_in_threadpool(sat, request, token)
        found = await run_in_threadpool(seat_of, kitchen, seat.study_id, seat.round_number, seat.taster, with_kept=False)
        code = str(form.get("choice", ""))
        if found is None or (code and code not in [p.code for p in found.state.plates if p.code not in found.state.withdrawn]):
            away = found is not None and code in found.state.withdrawn
            says = "The kitchen has taken that plate back. Choose again." if away else "That plate isn’t one of yours."
            return said(422, "wrong", says) if queued else await run_in_threadpool(ballot, kitchen, seat, token, says, 422)
        trial = next((p.trial for p in found.state.plates if p.code == code), 0)
        payload = {"round": seat.round_number, "taster": seat.taster, "trial": trial, "quote": bool(form.get("quote"))}
        new = NewEvent(kind=CHOICE, payload=payload, key=f"serve:{seat.round_number}:{seat.taster}")
        result = await keep_events(kitchen, seat, [new], token)
    except Unknown:
        return said(404, "unknown") if queued else door("Those words aren’t known here.", 404)
    except NotebookError as error:
        return not_taken(error, queued)
    if queued:
        return said(200 if result != "closed" else 410, result)
    return RedirectResponse(f"/t/{token}", 303)


@router.post("/t/{token}/here")
def post_here(token: str, request: Request, form: dict[str, Any] = Depends(form_of)) -> Response:
    """A sign of life, for the lead's board: at which plate, and nothing about scores. Told back: which plates were taken off the table."""
    try:
        kitchen, seat = sat(request, token)
    except Unknown:
        return said(404, "unknown")
    place = str(form.get("place", "0"))
    kitchen.seen[seat.study_id, seat.round_number, seat.taster] = (kitchen.clock(), int(place) if place.isdigit() and len(place) < 4 else 0)
    found = seat_of(kitchen, seat.study_id, seat.round_number, seat.taster, with_kept=False)
    return said(200, "closed" if closed(kitchen, seat) else "open", taken_back(found.state) if found is not None else "")
