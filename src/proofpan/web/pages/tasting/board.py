"""The board: who is where. It knows plates by their place in a taster's order, and no score."""

from __future__ import annotations

from datetime import datetime, timedelta

from markupsafe import Markup

from proofpan.notebook import TastingEntry
from proofpan.study.rounds import Round
from proofpan.study.study import Study
from proofpan.study.words import joined
from proofpan.web.desk import Kitchen
from proofpan.web.pages.tasting.page import BoardPart, PlateDot, SeatLine
from proofpan.web.seats import SeatState, failed_trials, seat_state, sitting_of, who_of
from proofpan.web.tokens import known_words, telling_words

GONE = "went home"
QUIET = timedelta(seconds=40)
AHEAD = timedelta(seconds=5)


def board_part(
    kitchen: Kitchen, study: Study, study_id: str, round_: Round, tasting: TastingEntry, late: frozenset[tuple[int, str]], address: str
) -> BoardPart:
    """The board as it stands."""
    sitting = sitting_of(study, tasting.round)
    marks = kitchen.kept.of(study_id)
    now = kitchen.clock()
    lines: list[SeatLine] = []
    finished: list[str] = []
    coming: list[str] = []
    kept_all = total = 0
    failed = failed_trials(study, round_.number)
    went = {str(e.payload["taster"]): e.at for e in kitchen.book.events(study_id, kind=GONE) if e.payload["round"] == tasting.round}
    for name in tasting.tasters:
        seat = seat_state(round_, sitting, name, marks, (tasting.round, name) in late, failed)
        came = marks.heard.get(who_of(round_, sitting, name))
        left = went.get(name, "")
        left = left if left and seat.waiting and (not came or came <= left) else ""  # whoever marks again is back
        kept_all, total = kept_all + len(seat.kept), total + len(seat.kept if left else seat.served)
        if not left:
            (finished if not seat.waiting else coming).append(name)
        lines.append(_line(kitchen, study, study_id, tasting.round, seat, came, now, address, left))
    return BoardPart(
        headline=_headline(finished, coming),
        under=f"Opened {datetime.fromisoformat(tasting.opened).astimezone():%H:%M}.{withdrawn_words(failed)}",
        seats=tuple(lines),
        sealed=f"{kept_all} of {total} ballots are with the kitchen.",
        unfinished=len(coming),
    )


def withdrawn_words(failed: frozenset[int]) -> str:
    """What is said of plates that were taken off the table."""
    if not failed:
        return ""
    which = f"Trial{'' if len(failed) == 1 else 's'} {joined(str(t) for t in sorted(failed))}"
    one = len(failed) == 1
    return f" {which} failed or {'isn’t' if one else 'aren’t'} safe to taste: no plate of {'it' if one else 'them'} is served; take away what stands there."


def _headline(finished: list[str], coming: list[str]) -> str:
    if not coming:
        return "Everyone has finished. Close the tasting to read what they marked."
    who = joined(coming) if len(coming) <= 3 else f"{len(coming)} tasters"
    verb = "is" if len(coming) == 1 else "are"
    return (
        f"{len(finished)} {'has' if len(finished) == 1 else 'have'} finished. {who} {verb} on the way."
        if finished
        else f"{who} {verb} on the way."
    )


def _line(
    kitchen: Kitchen, study: Study, study_id: str, number: int, seat: SeatState, came: str | None, now: datetime, address: str,
    left: str = "",
) -> SeatLine:
    seen = kitchen.seen.get((study_id, number, seat.taster))
    times = [*([seen[0]] if seen else []), *([datetime.fromisoformat(came)] if came else [])]
    heard = max((t for t in times if t <= now + AHEAD), default=None)  # a clock that was set back: what is dated ahead of it tells nothing
    place = seat.waiting[0].place if seat.waiting else 0
    here = bool(times) and not left
    quiet = heard is None or now - heard > QUIET
    dots = tuple(
        PlateDot(
            p.place, "in" if p.code in seat.kept else ("ph" if quiet and here else "cur" if here else "") if p.place == place else ""
        )
        for p in seat.served
    )
    if not seat.served:
        says = "No plates of theirs in this round"
    elif left:
        says = f"Went home at {datetime.fromisoformat(left).astimezone():%H:%M}; what they marked stays"
    elif not seat.waiting:
        says = f"Finished at {(datetime.fromisoformat(came) if came else now).astimezone():%H:%M}"
    elif not here:
        says = "Not here yet"
    elif heard is None:
        says = "Not heard from since the clock was set back"
    else:
        says = f"Not heard from since {heard.astimezone():%H:%M}" if quiet else f"Tasting {'set' if '+' in seat.plates[0].code else 'plate'} {place}"
    words = known_words(kitchen.book, kitchen.secret, study_id, number, seat.taster, telling_words(study)) or ""
    href = f"{address}/t/{words}" if words else ""
    no = next((", ".join(t.no) for t in study.brief.tasters if t.name == seat.taster), "")
    count, still = f"{len(seat.kept)} of {len(seat.served)}", bool(seat.waiting) and not left
    return SeatLine(seat.taster, dots, count, says, words.replace("-", " "), href, qr_of(href), no, still)


def qr_of(address: str) -> Markup:
    """The address as a picture for a phone's camera."""
    if not address:
        return Markup("")
    import segno

    picture = segno.make(address, micro=False, error="m").svg_inline(
        border=2, svgclass="qr", lineclass=None, omitsize=True, dark="#000", light="#fff"
    )
    return Markup(picture)
