"""The cook's page: the trays of the round, and the test sheet of the trial in hand."""

from __future__ import annotations

from dataclasses import dataclass

from proofpan.web.pages.day.live import Turn


@dataclass(frozen=True)
class TrayTrial:
    """One trial on its tray."""

    number: int
    words: str
    place: str
    state: str
    failed: bool
    here: bool
    href: str
    since: str = ""    # when it went in, while it hasn't come out


@dataclass(frozen=True)
class WeighLine:
    """One line of the recipe in this trial's amount: planned, and as weighed."""

    name: str
    item: str
    plan: str
    weighed: str
    off: str


@dataclass(frozen=True)
class SheetPart:
    """The test sheet of one trial."""

    number: int
    words: str
    size_words: str
    weighs: tuple[WeighLine, ...]
    method: tuple[str, ...]
    oven: str
    start: str
    out: str
    core: str
    degree: str
    lot: str
    failed: str
    note: str
    full_size: bool
    minutes_low: float
    minutes_high: float
    photographs: tuple[str, ...]
    together: str = ""      # what of it is made once with other trials


@dataclass(frozen=True)
class LivePart:
    """What the day that runs says beside the sheet."""

    turns: tuple[Turn, ...]
    says: str
    clock: str
    undo: str       # the day's last report, which can be taken back, and what it is known by
    last: str


@dataclass(frozen=True)
class CookPage:
    """The page."""

    headline: str
    under: str
    loads: tuple[tuple[str, tuple[TrayTrial, ...]], ...]
    sheets: tuple[SheetPart, ...]
    cautions: tuple[str, ...]
    notes: tuple[str, ...]
    versions: tuple[tuple[str, str], ...]
    action: str
    next_href: str
    next_words: str
    rounds_href: str
    live: LivePart | None       # where the day's plan has something to say
    cooked: bool        # every trial of the round
    moved_href: str
