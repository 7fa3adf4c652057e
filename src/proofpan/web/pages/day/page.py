"""The day: every task with its start, drawn in lanes and as a run sheet; while it runs, what each has in hand."""

from __future__ import annotations

from dataclasses import dataclass

from markupsafe import Markup

from proofpan.web.pages.day.live import Turn
from proofpan.web.pages.day.papers import PaperPart
from proofpan.web.pages.day.setting import Setting


@dataclass(frozen=True)
class TaskLine:
    """One task of the run sheet."""

    task: str
    start: str
    end: str
    who: str
    what: str
    versions: str
    where: str
    state: str


@dataclass(frozen=True)
class Leaving:
    """Someone or an oven: what the press says, and what it is kept as."""

    name: str
    words: str
    what: str


@dataclass(frozen=True)
class DayPage:
    """The page; `state` is none, planned or clash."""

    state: str
    headline: str
    under: str
    lanes: Markup
    tasks: tuple[TaskLine, ...]
    says: tuple[str, ...]
    ease: tuple[str, ...]  # where what stands against a day could be eased
    tied: tuple[str, ...]  # said before anything is cooked
    cautions: tuple[str, ...]
    turns: tuple[Turn, ...]
    running: bool
    undo: str
    last: str  # the report that `undo` takes back
    start: str
    eat: str
    action: str
    papers_href: str
    first_href: str  # the step that a day waits for
    first_words: str
    cook_href: str
    tasting_href: str
    cooked: bool  # everything is on its plate: what comes next is the tasting
    films: bool
    paper: PaperPart
    setting: Setting | None = None
    leaving: tuple[Leaving, ...] = ()
