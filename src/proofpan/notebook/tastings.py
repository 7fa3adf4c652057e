"""Tastings and their tokens. A token is shown once; what is kept is its SHA-256, so the notebook can't give it away."""

import hashlib
import secrets
from collections.abc import Callable, Set

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from . import studies
from .entries import Seat, TastingEntry
from .errors import Conflict, NotebookError, NotFound
from .tables import seat, study, tasting
from .texts import named


def new_token() -> str:
    """192 random bits, as an address can hold them."""
    return secrets.token_urlsafe(24)


def digest_of(token: str) -> str:
    """What the notebook keeps of a token."""
    return hashlib.sha256(token.encode("utf-8", "surrogatepass")).hexdigest()


def open_round(
    connection: Connection,
    study_id: str,
    round_number: int,
    tasters: tuple[str, ...],
    make_token: Callable[[], str],
    at: str,
) -> dict[str, str]:
    """Open a round's tasting; gives a token for each taster."""
    studies.hold(connection, study_id)
    there = _row(connection, study_id, round_number)
    if there is not None:
        state = "is open already" if there.closed is None else f"was closed on {there.closed[:10]} and stays so"
        raise Conflict(f"The tasting of round {round_number} {state}.")
    if not tasters:
        raise NotebookError("A tasting needs at least one taster.")
    if twice := {t for t in tasters if tasters.count(t) > 1}:
        raise NotebookError(f'The taster "{min(twice)}" is named twice; give each a name of their own.')
    connection.execute(tasting.insert().values(study_id=study_id, round=round_number, opened=at))
    return {taster: _give(connection, study_id, round_number, taster, place, make_token) for place, taster in enumerate(tasters, start=1)}


def admit(connection: Connection, study_id: str, round_number: int, taster: str, make_token: Callable[[], str]) -> str:
    """A token for a late taster, or a new one for a taster who lost theirs (the old one is then unknown)."""
    studies.hold(connection, study_id)
    if is_closed(connection, study_id, round_number):
        raise Conflict(f"The tasting of round {round_number} is closed, so nobody can be let in.")
    here = sa.and_(seat.c.study_id == study_id, seat.c.round == round_number)
    place = connection.scalar(sa.select(seat.c.place).where(here, seat.c.taster == taster))
    if place is None:
        place = (connection.scalar(sa.select(sa.func.max(seat.c.place)).where(here)) or 0) + 1
    else:
        connection.execute(seat.delete().where(here, seat.c.taster == taster))
    return _give(connection, study_id, round_number, taster, place, make_token)


def _give(connection: Connection, study_id: str, round_number: int, taster: str, place: int, make_token: Callable[[], str]) -> str:
    named(taster, "name of a taster")
    for _ in range(100):
        token = make_token()
        digest = digest_of(token)
        # short word codes may meet one that another tasting has
        if connection.scalar(sa.select(seat.c.taster).where(seat.c.token_digest == digest)) is None:
            row = {"study_id": study_id, "round": round_number, "taster": taster, "place": place}
            connection.execute(seat.insert().values(token_digest=digest, **row))
            return token
    raise NotebookError("There are no free codes left of this length; use longer ones.")


def find(connection: Connection, token: str, even_closed: bool) -> Seat | None:
    """Whose token it is; None when it is nobody's, or its tasting is closed or its study deleted."""
    asked = (
        sa.select(seat.c.study_id, seat.c.round, seat.c.taster)
        .join(tasting, sa.and_(tasting.c.study_id == seat.c.study_id, tasting.c.round == seat.c.round))
        .join(study, study.c.id == seat.c.study_id)
        .where(seat.c.token_digest == digest_of(token), study.c.deleted.is_(None))
    )
    if not even_closed:
        asked = asked.where(tasting.c.closed.is_(None))
    row = connection.execute(asked).first()
    return None if row is None else Seat(*row)


def standing_tokens(connection: Connection, digests: Set[str]) -> set[str]:
    """Those of some digests that are still a taster's."""
    if not digests:
        return set()
    return set(connection.scalars(sa.select(seat.c.token_digest).where(seat.c.token_digest.in_(digests))))


def _row(connection: Connection, study_id: str, round_number: int) -> sa.Row | None:
    asked = sa.select(tasting).where(tasting.c.study_id == study_id, tasting.c.round == round_number)
    return connection.execute(asked).first()


def is_closed(connection: Connection, study_id: str, round_number: int) -> bool:
    """Whether a round's tasting is closed.

    Raises:
        NotFound: it was never opened.
    """
    row = _row(connection, study_id, round_number)
    if row is None:
        raise NotFound(f'The study "{study_id}" has no tasting of round {round_number}.')
    return row.closed is not None


def close(connection: Connection, study_id: str, round_number: int, at: str) -> TastingEntry:
    """Close a tasting; one that is closed stays as it is."""
    studies.hold(connection, study_id)
    if not is_closed(connection, study_id, round_number):
        here = sa.and_(tasting.c.study_id == study_id, tasting.c.round == round_number)
        connection.execute(tasting.update().where(here).values(closed=at))
    return next(t for t in listing(connection, study_id) if t.round == round_number)


def listing(connection: Connection, study_id: str) -> tuple[TastingEntry, ...]:
    """A study's tastings by round."""
    studies.entry(connection, study_id)
    seats: dict[int, list[str]] = {}
    asked = sa.select(seat.c.round, seat.c.taster).where(seat.c.study_id == study_id).order_by(seat.c.place)
    for number, taster in connection.execute(asked):
        seats.setdefault(number, []).append(taster)
    rows = connection.execute(sa.select(tasting).where(tasting.c.study_id == study_id).order_by(tasting.c.round))
    return tuple(TastingEntry(study_id, row.round, tuple(seats.get(row.round, ())), row.opened, row.closed) for row in rows)
