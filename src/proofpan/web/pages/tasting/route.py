"""A tasting opened, watched, closed and revealed."""

from __future__ import annotations

import secrets

from fastapi import APIRouter, Depends
from starlette.responses import HTMLResponse, Response

from proofpan.notebook import TastingEntry
from proofpan.notebook.shelf import add_round, add_sitting, change_brief
from proofpan.study.errors import BallotError, StudyError
from proofpan.study.rounds import Round
from proofpan.study.sittings import Sitting, round_of_sitting
from proofpan.study.study import Study
from proofpan.study.words import capital, counted, joined, version_words
from proofpan.web.desk import Desk, Typed, go, lead, typed
from proofpan.web.marks import WORDS
from proofpan.web.pages.ballot.route import CHOICE
from proofpan.web.pages.tasting.board import GONE, board_part, withdrawn_words
from proofpan.web.pages.tasting.late import sitting_with_late_taster, with_late_taster
from proofpan.web.pages.tasting.other import ORDINARY, Now, laid_from, next_number, said_by_others, sitting_part, tasting_now
from proofpan.web.pages.tasting.page import BoardPart, Reveal, SittingPart, TastingPage
from proofpan.web.pages.tasting.waits import Waits, waits_of
from proofpan.web.rendering import show, words_of
from proofpan.web.seats import failed_trials, sitting_of, without_failed
from proofpan.web.servings import before_tasting
from proofpan.web.shelfcache import LATE, Standing
from proofpan.web.tokens import fresh_words, maker, telling_words

router = APIRouter()
NOTHING = BoardPart("", "", (), "", 0)
NO_SITTING = SittingPart("", "", (), 0, (), (), "", (), False, ())
HELD = "kept hot or cold"  # what the lead said of plates that were cooked long before
RICH = 4
MILD = 6


def newest(study: Study) -> Round | None:
    """The round to taste: the newest with plates."""
    return next((r for r in reversed(study.rounds) if r.plates), None)


def address_for(desk: Desk) -> str:
    """Where phones go: the kitchen's address, else wherever the lead's page is."""
    if desk.kitchen.open_to_phones and desk.kitchen.address:
        return desk.kitchen.address
    return f"{desk.request.url.scheme}://{desk.request.url.netloc}"


def tasting(desk: Desk, study_id: str, confirm: bool = False) -> Response:
    """The page."""
    standing = desk.standing(study_id)
    study = standing.study
    round_ = newest(study)
    root = f"/study/{study_id}"
    opened = desk.book.tastings(study_id)
    now = tasting_now(study, round_, opened) if round_ is not None else Now(0, None, None)
    entry, sitting = now.entry, now.sitting
    state = "none" if round_ is None else "ready" if entry is None else "closed" if entry.closed else "open"
    board = (
        board_part(desk.kitchen, study, study_id, round_, entry, desk.kitchen.shelf.serving(study_id)[1], address_for(desk))
        if round_ is not None and entry is not None and state == "open"
        else NOTHING
    )
    says: list[str] = []
    if round_ is not None:
        says = [line for e in standing.of_kind("tie-break") if e.payload["round"] == round_.number for line in e.payload["says"]]
    if state == "closed":
        says = [line.replace("As it stands, ", "Before this vote ", 1) for line in says]  # it was said when the plates were coded
    ordinary_asked = round_ is not None and _ordinary_asked(study, round_, opened)
    reveals = _reveals(standing, round_) if round_ is not None and state == "closed" and ordinary_asked else ()
    head = {
        "none": ("Nothing is cooked and coded yet.", "Plan a round first; its plates get their codes with it."),
        "ready": ("The plates are coded. Open the tasting when they are on the table.", _withdrawn(study, round_)),
        "open": (board.headline, board.under),
        "closed": (_closed_headline(standing, round_, now), ""),
    }[state]
    part = sitting_part(study, round_, sitting, ordinary_asked) if round_ is not None else NO_SITTING
    waits = waits_of(standing, round_, desk.kitchen.clock()) if state == "ready" else Waits()
    most = part.plates_each if sitting is not None else max((len(c) for c in round_.orders.values()), default=0) if round_ is not None else 0
    model = TastingPage(
        state=state,
        headline=head[0],
        under=head[1],
        board=board,
        address=f"{address_for(desk)}/t",
        reachable=desk.kitchen.open_to_phones,
        pause=f"{most} plates are many for one sitting: at most {RICH} when rich, fried, sweet or hot, {MILD} when mild, then a break."
        if most > RICH
        else "",
        cautions=(*part.cautions, *round_.cautions) if round_ is not None and state == "ready" else (),
        waits=waits.must,
        held=waits.held,
        before=before_tasting(study, round_) if round_ is not None else "",
        seen=_seen(study),
        reveals=reveals,
        says=tuple(says),
        codes=part.codes or (_codes(study, without_failed(study, round_)) if round_ is not None and state == "ready" else ()),
        quotes=_quotes(standing),
        action=f"{root}/tasting",
        paper_href=f"{root}/paper",
        alone_href=f"{root}/codes" if len(study.tasters) == 1 and sitting is None else "",
        papers=f"{root}/papers",
        verdict_href=f"{root}/verdict",
        rounds_href=f"{root}/rounds",
        board_href=f"{root}/tasting/board",
        confirm=confirm,
        leavers=study.tasters if state in ("open", "closed") else (),
        at_table=tuple(seat.taster for seat in board.seats if seat.here) if state == "open" else (),
        sitting=part,
        others=said_by_others(standing, round_, opened) if round_ is not None and state != "open" else (),
        said=_said(standing, now) if state == "closed" and sitting is not None else (),
    )
    return show("tasting", model, desk.frame("Tasting", standing, "tasting"))


def _ordinary_asked(study: Study, round_: Round, opened: tuple[TastingEntry, ...]) -> bool:
    """Whether the round's ordinary ballot was asked: a tasting of it for which no other was laid."""
    return any(round_of_sitting(t.round) == round_.number and sitting_of(study, t.round) is None for t in opened)


def _said(standing: Standing, now: Now) -> tuple[str, ...]:
    """What was written beside another ballot's answers."""
    words = {t.trial: version_words(t.version) for t in standing.study.trial_records}
    out = []
    for event in standing.of_kind(WORDS):
        if event.payload["round"] == now.number and event.person in standing.study.tasters:
            about = words.get(int(event.payload["trial"]), str(event.payload["pass"]).replace("+", ", "))
            out.append(f"“{event.payload['words']}” ({event.person}, of {about})")
    return tuple(out)


def _closed_headline(standing: Standing, round_: Round | None, now: Now) -> str:
    if now.sitting is not None:
        asked = set(standing.study.tasters)
        given = [a for a in standing.study.answers if a.sitting == now.number and a.taster in asked]
        return f"Closed: {counted(len(given), 'answer')} from {counted(len({a.taster for a in given}), 'taster')}."
    tasters = {b.taster for b in standing.study.ballot_records if round_ is not None and b.round == round_.number}
    plates = {(b.taster, b.trial, b.pass_) for b in standing.study.ballot_records if round_ is not None and b.round == round_.number}
    return f"Closed: {counted(len(plates), 'ballot')} from {counted(len(tasters), 'taster')}."


def _codes(study: Study, round_: Round) -> tuple[tuple[str, str, str], ...]:
    """(taster, code, version) for whoever lays the plates."""
    words = {t.trial: f"trial {t.trial}, {version_words(t.version)}" for t in round_.trials}
    return tuple(
        (taster, code, words.get(p.trial, ""))
        for taster, codes in round_.orders.items()
        for code in codes
        if (p := round_.plate(taster, code))
    )


def _withdrawn(study: Study, round_: Round | None) -> str:
    return withdrawn_words(failed_trials(study, round_.number)).strip() if round_ is not None else ""


def _seen(study: Study) -> tuple[str, ...]:
    seen = [f"{f.name}: {o.name}" for f in study.factors for o in f.options if f.is_visible(o.name)]
    return (f"Codes can’t blind what shows ({', '.join(seen)}): dice it, serve it by the spoon, or taste with eyes shut.",) if seen else ()


def _reveals(standing: Standing, round_: Round) -> tuple[Reveal, ...]:
    said: dict[int, list[str]] = {}
    for event in standing.of_kind(WORDS):
        if event.payload["round"] == round_.number and event.person in standing.study.tasters:
            said.setdefault(int(event.payload["trial"]), []).append(f"“{event.payload['words']}” ({event.person})")
    served: dict[int, int] = {}
    asked = set(standing.study.tasters)
    for event in standing.of_kind(CHOICE):
        if event.payload["round"] == round_.number and event.payload["trial"] and event.payload["taster"] in asked:
            served[int(event.payload["trial"])] = served.get(int(event.payload["trial"]), 0) + 1
    failed = failed_trials(standing.study, round_.number)
    by_version: dict[str, list[int]] = {}
    for trial in round_.trials:
        by_version.setdefault(str(trial.version), []).append(trial.trial)
    out = []
    for trials in by_version.values():
        version = next(t.version for t in round_.trials if t.trial == trials[0])
        codes = tuple(f"{p.code} ({p.taster})" for p in round_.plates if p.trial in trials and p.taster in asked)
        out.append(
            Reveal(
                capital(version_words(version)),
                joined([f"{t} (failed or taken back)" if t in failed else str(t) for t in trials]),
                codes,
                tuple(s for t in trials for s in said.get(t, [])),
                sum(served.get(t, 0) for t in trials),
            )
        )
    return tuple(sorted(out, key=lambda r: -r.served))


def _quotes(standing: Standing) -> str:
    allowed = {str(e.payload["taster"]) for e in standing.of_kind(CHOICE) if e.payload.get("quote")} & set(standing.study.tasters)
    return f"May be quoted, without a name: {joined(sorted(allowed))}." if allowed else "Nobody has said yet that they may be quoted."


@router.get("/study/{study_id}/tasting")
def get_tasting(study_id: str, close: str = "", desk: Desk = Depends(lead)) -> Response:
    """The tasting of the newest round."""
    return tasting(desk, study_id, close == "ask")


@router.get("/study/{study_id}/tasting/board")
def get_board(study_id: str, desk: Desk = Depends(lead)) -> Response:
    """The board alone."""
    study, late = desk.kitchen.shelf.serving(study_id)
    round_ = newest(study)
    entry = tasting_now(study, round_, desk.book.tastings(study_id)).entry if round_ is not None else None
    if round_ is None or entry is None or entry.closed:
        return HTMLResponse("", 204)
    part = board_part(desk.kitchen, study, study_id, round_, entry, late, address_for(desk))
    return HTMLResponse(words_of("tasting", part, desk.frame("Board"), "board.html"))


@router.post("/study/{study_id}/tasting")
def post_tasting(study_id: str, form: Typed = Depends(typed), desk: Desk = Depends(lead)) -> Response:
    """Open, close, let someone in, give new words."""
    desk.typed = form.texts
    desk.again = lambda: tasting(desk, study_id)
    study = desk.standing(study_id).study
    round_ = newest(study)
    if round_ is None:
        raise StudyError("Plan a round first.")
    what = form.get("what")
    opened = desk.book.tastings(study_id)
    now = tasting_now(study, round_, opened)
    if what == "lay":
        _lay(desk, study_id, study, round_, form, now, opened)
    elif what == "open":
        _open(desk, study_id, study, round_, now, opened, ordinary=form.get("kind") == ORDINARY, held=bool(form.get("held")))
    elif what == "close":
        desk.book.close_tasting(study_id, now.number)
    elif what == "ask to close":
        unfinished = board_part(desk.kitchen, study, study_id, round_, now.entry, frozenset(), "").unfinished if now.entry is not None else 0
        if unfinished:
            return go(f"/study/{study_id}/tasting?close=ask")
        desk.book.close_tasting(study_id, now.number)
    elif what == "new words":
        fresh_words(desk.book, desk.kitchen.secret, study_id, now.number, form.get("taster"), telling_words(study))
    elif what == "late":
        _let_in(desk, study_id, study, round_, now, form.get("taster"))
    elif what == "gone":
        _gone(desk, study_id, now, form.get("taster"))
    elif what == "forget":
        _forget(desk, study_id, study, form.get("taster"))
    return go(f"/study/{study_id}/tasting")


def _lay(desk: Desk, study_id: str, study: Study, round_: Round, form: Typed, now: Now, opened: tuple[TastingEntry, ...]) -> None:
    """Lay another ballot, or go back to the ordinary one, while nothing is open."""
    if now.entry is not None and not now.entry.closed:
        raise BallotError("A tasting is open: close it before another ballot is laid.")
    number = next_number(round_, opened)
    if form.get("kind") == ORDINARY:
        if sitting_of(study, number) is not None:
            add_sitting(desk.book, study_id, Sitting(number=number, round=round_.number, kind="liking"))
        return
    there = sum(round_of_sitting(t.round) == round_.number for t in opened)
    add_sitting(desk.book, study_id, laid_from(study, round_, form, there, secrets.randbelow(1_000_000)))


def _open(desk: Desk, study_id: str, study: Study, round_: Round, now: Now, opened: tuple[TastingEntry, ...], *, ordinary: bool, held: bool) -> None:
    waits = waits_of(desk.standing(study_id), round_, desk.kitchen.clock())
    if waits.must:
        raise BallotError(waits.must[0])
    if waits.held and not held:
        raise BallotError(waits.held, field="held")
    number, sitting = now.number, now.sitting
    if now.entry is not None and now.entry.closed and ordinary:
        if _ordinary_asked(study, round_, opened):
            raise BallotError("The ordinary ballot of these plates was asked: the first marks stand.")
        number, sitting = next_number(round_, opened), None
    here = sitting.tasters if sitting is not None else tuple(t for t in study.tasters if without_failed(study, round_).orders.get(t))
    tasters = tuple(t for t in study.tasters if t in here)
    if not tasters:
        raise BallotError("No taster has a plate in this round.")
    if waits.held:
        desk.book.append(study_id, HELD, {"round": round_.number, "says": waits.held}, key=f"held:{number}")
    words = maker(desk.kitchen.secret, study_id, number, tasters, telling_words(study))
    desk.book.open_tasting(study_id, number, tasters, make_token=words)


def _let_in(desk: Desk, study_id: str, study: Study, round_: Round, now: Now, name: str) -> None:
    if not name:
        raise BallotError("Say who comes late.", field="taster")
    if now.entry is None or now.entry.closed:
        raise BallotError("The tasting isn't open, so nobody can be let in.")
    if name not in study.tasters:
        today = desk.kitchen.clock().date()
        study = study.amend(add={"taster": name}, why="came late", on=today)
        change_brief(desk.book, study_id, study, note=f"let {name} in late")
    there = now.sitting.of(name) if now.sitting is not None else round_.orders.get(name)
    if not there:
        seed = secrets.randbelow(1_000_000)
        if now.sitting is not None:
            add_sitting(desk.book, study_id, sitting_with_late_taster(study, round_, now.sitting, name, seed))
        else:
            add_round(desk.book, study_id, with_late_taster(study, round_, name, seed))
        desk.book.append(study_id, LATE, {"round": now.number, "taster": name}, key=f"late:{now.number}:{name}")
    fresh_words(desk.book, desk.kitchen.secret, study_id, now.number, name, telling_words(study))


def _gone(desk: Desk, study_id: str, now: Now, name: str) -> None:
    """Somebody goes home: what they marked stays, and the board waits for them no longer."""
    if now.entry is None or now.entry.closed or name not in now.entry.tasters:
        raise BallotError("Say which of those at the table went.", field="gone")
    times = len(desk.book.events(study_id, kind=GONE))
    desk.book.append(study_id, GONE, {"round": now.number, "taster": name}, key=f"gone:{now.number}:{name}:{times}")


def _forget(desk: Desk, study_id: str, study: Study, name: str) -> None:
    if name in study.tasters and len(study.tasters) == 1:
        raise BallotError("Nobody else tastes: a study needs one taster.", field="taster")
    desk.book.remove_person(study_id, name)
    desk.kitchen.shelf.forget(study_id)
    desk.kitchen.kept.forget(study_id)
