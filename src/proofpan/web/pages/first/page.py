"""The first page: what is in front of you, what shall be planned, and every study so far."""

from __future__ import annotations

from dataclasses import dataclass

from proofpan.notebook import Notebook

LOOKED_UP = 40
HIT = ("«", "»")


@dataclass(frozen=True)
class StudyLine:
    """A study in the list; `pieces` is (text, whether it was searched for) of what a search found."""

    href: str
    title: str
    when: str
    step: str
    pieces: tuple[tuple[str, bool], ...]


@dataclass(frozen=True)
class FirstPage:
    """The notebook's first page."""

    headline: str
    studies: tuple[StudyLine, ...]
    count: int
    words: str
    options: tuple[str, ...]
    has_demo: bool


def pieces_of(snippet: str) -> tuple[tuple[str, bool], ...]:
    """`… «malt» …` cut at its hits."""
    out: list[tuple[str, bool]] = []
    for part in snippet.replace("\n", " · ").split(HIT[0]):
        hit, mark, rest = part.partition(HIT[1])
        out += [(hit, True), (rest, False)] if mark else [(part, False)]
    return tuple(p for p in out if p[0])


def first_page(book: Notebook, words: str, when: dict[str, str], options: tuple[str, ...], has_demo: bool) -> FirstPage:
    """The page for what was searched (nothing: all, the newest first)."""
    entries = {e.id: e for e in book.studies()}
    if words:
        found = book.search(words, limit=LOOKED_UP)
        lines = tuple(StudyLine(f"/study/{f.study}", f.title, when.get(f.study, ""), f.step, pieces_of(f.snippet)) for f in found)
        headline = (
            f"Nothing holds “{words}”." if not lines else f"{len(lines)} {'study holds' if len(lines) == 1 else 'studies hold'} “{words}”."
        )
    else:
        lines = tuple(StudyLine(f"/study/{e.id}", e.title, when.get(e.id, ""), e.step, ()) for e in entries.values())[:LOOKED_UP]
        headline = "What do you want to find out?"
    return FirstPage(headline, lines, len(entries), words, options, has_demo)
