"""Cross-tests: what other kitchens report, the packs to send, and reports typed in or brought as a file."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class RunLine:
    """One report: who, whether it worked, what was noted, and whether it counts as written."""

    tester: str
    worked: str
    done: str
    oven: str
    swap: str
    unclear: str
    note: str
    photo: str
    key: str


@dataclass(frozen=True)
class TroubledLine:
    """A line of the text that stopped testers: which, how it reads, how many, their words, what to do."""

    name: str
    text: str
    count: int
    words: tuple[str, ...]
    do: str


@dataclass(frozen=True)
class CrossTestsPage:
    """The page."""

    headline: str
    under: str
    version: str
    version_words: str
    versions: tuple[tuple[str, str], ...]
    says: tuple[str, ...]
    times: tuple[tuple[str, str, str], ...]
    troubled: tuple[TroubledLine, ...]
    runs: tuple[RunLine, ...]
    swaps: tuple[RunLine, ...]
    measures: tuple[str, ...]
    chosen_measures: str
    papers: tuple[tuple[str, str], ...]
    links: tuple[tuple[str, str, str], ...]
    new_link: tuple[str, str] | None
    by_link: str
    steps: tuple[tuple[str, str, bool], ...]
    controls: tuple[tuple[str, str], ...]
    control: str
    control_words: str
    reasons: tuple[str, ...]
    action: str
    recipe_href: str
    ready: bool
