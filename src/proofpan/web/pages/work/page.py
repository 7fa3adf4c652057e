"""Work that goes on while the page waits: how far it is, and a way to stop it."""

from __future__ import annotations

from dataclasses import dataclass

from proofpan.web.work import Work

NAMES = {"dry run": "The dry run", "reading": "The reading"}


@dataclass(frozen=True)
class WorkPart:
    """The words, the bar and the stop of one piece of work; `all` is 0 before anything is known."""

    state_href: str
    stop_href: str
    then: str
    says: str
    done: int
    all: int
    name: str


@dataclass(frozen=True)
class WorkPage:
    """The page of a piece of work."""

    headline: str
    part: WorkPart | None
    says: str
    back_href: str
    back_words: str


def work_part(work: Work) -> WorkPart:
    """A piece of work as a part of a page."""
    root = f"/study/{work.study}/work/{work.name}"
    return WorkPart(f"{root}/state", f"{root}/stop", work.then, work.says, work.done, work.all, NAMES.get(work.kind, "The work"))


def work_page(work: Work) -> WorkPage:
    """The page."""
    name = NAMES.get(work.kind, "The work")
    step, words = ("brief", "Back to the brief") if work.kind == "dry run" else ("readings", "Back to the readings")
    if not work.ended:
        return WorkPage(f"{name} is being worked out.", work_part(work), "", f"/study/{work.study}/{step}", words)
    ends = {"stopped": f"{name} was stopped.", "broken off": f"{name} broke off.", "failed": f"{name} couldn’t be made."}
    return WorkPage(ends.get(work.state, f"{name} is done."), None, work.says, f"/study/{work.study}/{step}", words)
