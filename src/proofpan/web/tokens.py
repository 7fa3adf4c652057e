"""A taster's three words: short enough to type on a phone, long enough (with the limit on guesses) not to be guessed.

The words of a seat are drawn from the server's secret, so the lead's page can show them again without keeping them; after a restart it
can't, and offers new ones. They are kitchen words, so those that the study's own options or ingredients hold are passed over: on a card,
"olive" would be a hint.
"""

from __future__ import annotations

import hashlib
import hmac
import re
from collections.abc import Callable, Set
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING

from proofpan.study.study import Study

if TYPE_CHECKING:
    from proofpan.notebook import Notebook

WORDS = tuple(Path(__file__).with_suffix(".txt").read_text(encoding="utf-8").split("\n", 1)[1].split())
PER_CODE = 3
MOST_TRIES = 40
NOTHING: frozenset[str] = frozenset()
SHORTEST = 3


def telling_words(study: Study) -> frozenset[str]:
    """Words that no card of this study may bear: those in what varies and what it is made of, in any number and inside longer ones."""
    made_of = study.brief.base.model_dump_json(include={"title", "ingredients"}) if study.brief.base is not None else ""
    return _words_in(f"{study.title} {study.question} {made_of} " + " ".join(f.model_dump_json() for f in study.factors))


@lru_cache(maxsize=32)
def _words_in(text: str) -> frozenset[str]:
    said = {w for w in re.findall(r"[^\W\d_]+", text.casefold()) if len(w) >= SHORTEST}
    return frozenset(word for word in WORDS if any(_stem(word) in other or other in word for other in said))


def _stem(word: str) -> str:
    """A word as its plural begins: berry, berries."""
    return word[:-1] if word[-1] in "ey" and len(word) > SHORTEST + 1 else word


def words_of(secret: str, study_id: str, round_number: int, taster: str, attempt: int, avoid: Set[str] = NOTHING) -> str:
    """Three words for a seat; for one to avoid stands the next that may be said, so that the others stay as they were."""
    said = "\x00".join(("seat", study_id, str(round_number), taster, str(attempt)))
    digest = hmac.new(secret.encode(), said.encode(), hashlib.sha256).digest()
    number = int.from_bytes(digest[:8], "big")
    out = []
    for _ in range(PER_CODE):
        number, which = divmod(number, len(WORDS))
        onward = (*WORDS[which:], *WORDS[:which])
        out.append(next((w for w in onward if w not in avoid), onward[0]))
    return "-".join(out)


def maker(secret: str, study_id: str, round_number: int, tasters: tuple[str, ...], avoid: Set[str] = NOTHING) -> Callable[[], str]:
    """Gives the tokens of tasters in turn, as the notebook asks for them."""
    waiting = [words_of(secret, study_id, round_number, t, 0, avoid) for t in tasters]
    spare = iter(range(1, 10_000))

    def make() -> str:
        return waiting.pop(0) if waiting else words_of(secret, study_id, round_number, "spare", next(spare), avoid)

    return make


def fresh_words(book: Notebook, secret: str, study_id: str, round_number: int, taster: str, avoid: Set[str] = NOTHING) -> str:
    """New words for a seat, none that it had before."""
    known = known_words(book, secret, study_id, round_number, taster, avoid)
    first = 0
    if known is not None:
        first = 1 + next(i for i in range(MOST_TRIES) if words_of(secret, study_id, round_number, taster, i, avoid) == known)
    attempts = iter(range(first, 10_000))
    return book.admit(
        study_id, round_number, taster, make_token=lambda: words_of(secret, study_id, round_number, taster, next(attempts), avoid)
    )


def known_words(book: Notebook, secret: str, study_id: str, round_number: int, taster: str, avoid: Set[str] = NOTHING) -> str | None:
    """The words that a seat has now, if they were drawn from this secret."""
    tried = [words_of(secret, study_id, round_number, taster, attempt, avoid) for attempt in range(MOST_TRIES)]
    standing = book.standing_tokens(tried)
    for words in (w for w in tried if w in standing):
        seat = book.find_token(words, even_closed=True)
        if seat is not None and (seat.study_id, seat.round_number, seat.taster) == (study_id, round_number, taster):
            return words
    return None


def as_typed(text: str) -> str:
    """What a taster typed, as a token: case, spaces and commas forgiven."""
    return "-".join(re.findall(r"[^\W_]+", text.casefold()))[:80]
