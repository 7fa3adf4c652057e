"""A taster's three words: short enough to type on a phone, long enough (with the limit on guesses) not to be guessed.

The words of a seat are drawn from the server's secret, so the lead's page can show them again without keeping them; after a restart it
can't, and offers new ones.
"""

from __future__ import annotations

import hashlib
import hmac
import re
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from proofpan.notebook import Notebook

WORDS = tuple(Path(__file__).with_suffix(".txt").read_text(encoding="utf-8").split("\n", 1)[1].split())
PER_CODE = 3
MOST_TRIES = 40


def words_of(secret: str, study_id: str, round_number: int, taster: str, attempt: int) -> str:
    """Three words for a seat."""
    said = "\x00".join(("seat", study_id, str(round_number), taster, str(attempt)))
    digest = hmac.new(secret.encode(), said.encode(), hashlib.sha256).digest()
    number = int.from_bytes(digest[:8], "big")
    out = []
    for _ in range(PER_CODE):
        number, which = divmod(number, len(WORDS))
        out.append(WORDS[which])
    return "-".join(out)


def maker(secret: str, study_id: str, round_number: int, tasters: tuple[str, ...]) -> Callable[[], str]:
    """Gives the tokens of tasters in turn, as the notebook asks for them."""
    waiting = [words_of(secret, study_id, round_number, t, 0) for t in tasters]
    spare = iter(range(1, 10_000))

    def make() -> str:
        return waiting.pop(0) if waiting else words_of(secret, study_id, round_number, "spare", next(spare))

    return make


def fresh_words(book: Notebook, secret: str, study_id: str, round_number: int, taster: str) -> str:
    """New words for a seat, none that it had before."""
    known = known_words(book, secret, study_id, round_number, taster)
    first = 0
    if known is not None:
        first = 1 + next(i for i in range(MOST_TRIES) if words_of(secret, study_id, round_number, taster, i) == known)
    attempts = iter(range(first, 10_000))
    return book.admit(study_id, round_number, taster, make_token=lambda: words_of(secret, study_id, round_number, taster, next(attempts)))


def known_words(book: Notebook, secret: str, study_id: str, round_number: int, taster: str) -> str | None:
    """The words that a seat has now, if they were drawn from this secret."""
    for attempt in range(MOST_TRIES):
        words = words_of(secret, study_id, round_number, taster, attempt)
        seat = book.find_token(words, even_closed=True)
        if seat is not None and (seat.study_id, seat.round_number, seat.taster) == (study_id, round_number, taster):
            return words
        if attempt >= 3 and seat is None:
            return None
    return None


def as_typed(text: str) -> str:
    """What a taster typed, as a token: case, spaces and commas forgiven."""
    return "-".join(re.findall(r"[^\W_]+", text.casefold()))[:80]
