"""The lead's page of a tasting: before it opens, while it runs (nothing about scores), and after it is closed."""

from __future__ import annotations

from dataclasses import dataclass

from markupsafe import Markup


@dataclass(frozen=True)
class PlateDot:
    """One plate on the board: in, cur, ph (last heard of here) or nothing."""

    number: int
    state: str


@dataclass(frozen=True)
class SeatLine:
    """One taster's line on the board."""

    taster: str
    dots: tuple[PlateDot, ...]
    count: str
    now: str
    words: str
    href: str
    qr: Markup
    no: str
    here: bool


@dataclass(frozen=True)
class BoardPart:
    """The board alone, as it is fetched again and again."""

    headline: str
    under: str
    seats: tuple[SeatLine, ...]
    sealed: str
    unfinished: int


@dataclass(frozen=True)
class Reveal:
    """One version after the close: what each taster gave, what they wrote, how many would serve it."""

    words: str
    trials: str
    codes: tuple[str, ...]
    said: tuple[str, ...]
    served: int


@dataclass(frozen=True)
class Choice:
    """A kind of ballot that may be asked."""

    kind: str
    name: str
    says: str


@dataclass(frozen=True)
class SittingPart:
    """Which ballot is laid now, and which others there are."""

    kind: str
    name: str
    asks: tuple[str, ...]
    plates_each: int
    cautions: tuple[str, ...]
    codes: tuple[tuple[str, str, str], ...]
    control: str
    offered: tuple[Choice, ...]
    ordinary: bool
    trials: tuple[tuple[int, str], ...]


@dataclass(frozen=True)
class TastingPage:
    """The page; `state` is none, ready, open or closed."""

    state: str
    headline: str
    under: str
    board: BoardPart
    address: str
    reachable: bool
    pause: str
    cautions: tuple[str, ...]
    waits: tuple[str, ...]
    held: str
    before: str
    seen: tuple[str, ...]
    reveals: tuple[Reveal, ...]
    says: tuple[str, ...]
    codes: tuple[tuple[str, str, str], ...]
    quotes: str
    action: str
    paper_href: str
    alone_href: str
    papers: str
    verdict_href: str
    rounds_href: str
    board_href: str
    confirm: bool
    leavers: tuple[str, ...]
    at_table: tuple[str, ...]
    sitting: SittingPart
    others: tuple[tuple[str, tuple[str, ...], tuple[tuple[str, str], ...]], ...]
    said: tuple[str, ...]
