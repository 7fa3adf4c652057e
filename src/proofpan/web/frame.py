"""What stands around a page: the name, the ruler of steps, and the bar at its lower edge."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

STEPS = (
    ("brief", "Brief"),
    ("sources", "Sources"),
    ("rounds", "Rounds"),
    ("day", "Day"),
    ("cook", "Cook"),
    ("tasting", "Tasting"),
    ("readings", "Readings"),
    ("verdict", "Verdict"),
    ("recipe", "Recipe"),
    ("how-we-tested", "How we tested"),
)


@dataclass(frozen=True)
class Step:
    """One mark on the ruler."""

    name: str
    href: str
    says: str
    state: str  # done, now or wait


@dataclass(frozen=True)
class Frame:
    """Everything that the layout needs and no page is about."""

    title: str
    csrf: str = ""
    study: str = ""
    study_href: str = ""
    who: str = ""
    steps: tuple[Step, ...] = ()
    quick: bool = False
    kept: str = ""
    undo: str = ""
    undo_href: str = ""
    undo_back: str = ""
    undone: str = ""
    redo: str = ""
    error: str = ""
    error_field: str = ""
    typed: tuple[tuple[str, str], ...] = ()
    page: str = ""
    revision: int = 0
    scripts: tuple[str, ...] = ()
    words: Callable[[str], str] | None = None  # our own words as the kitchen says them

    @property
    def here(self) -> int:
        """Which step this is, from 1; 0 for none."""
        return next((i for i, s in enumerate(self.steps, 1) if s.state == "now"), 0)

    @property
    def say(self) -> Callable[[Any], Any]:
        """A label or a sentence of ours in the kitchen's spelling, words and names of foods; what isn't plain text stays."""
        words = self.words

        def say(text: Any) -> Any:
            return words(text) if words is not None and type(text) is str else text

        return say

    @property
    def before(self) -> Step | None:
        """The step before."""
        return self.steps[self.here - 2] if self.here > 1 else None

    @property
    def after(self) -> Step | None:
        """The step after."""
        return self.steps[self.here] if 0 < self.here < len(self.steps) else None

    @property
    def was(self) -> Callable[..., str]:
        """What was typed in a field that was refused, else what stands there."""
        typed = dict(self.typed)

        def was(name: str, else_: object = "") -> str:
            return typed.get(name, "" if else_ is None else str(else_))

        return was
