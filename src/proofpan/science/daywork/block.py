"""Tasks that start together, and spans of minutes merged."""

from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Any

from proofpan.science.daywork.task import Task


@dataclass
class Block:
    """Tasks that start together: the load's start, its end (held to the latest), and who and which oven may take it."""

    name: str
    tasks: tuple[Task, ...]
    start: Any
    end: Any
    busy: tuple[tuple[int, int], ...]
    by: dict[str, Any] = field(default_factory=dict)
    ovens: dict[str, Any] = field(default_factory=dict)

    @property
    def temperature_c(self) -> int:
        """The oven's temperature for this load."""
        return next(t.oven.temperature_c for t in self.tasks if t.oven is not None)

    @property
    def everyone(self) -> bool:
        """Whether it takes all of its people at once."""
        return any(t.everyone for t in self.tasks)

    @property
    def alone(self) -> bool:
        """Whether it has the oven to itself."""
        return any(t.group is not None for t in self.tasks)


def union(spans: Iterable[tuple[int, int]]) -> tuple[tuple[int, int], ...]:
    """Spans merged where they touch or overlap, in order."""
    merged: list[tuple[int, int]] = []
    for a, b in sorted(spans):
        if merged and a <= merged[-1][1]:
            merged[-1] = (merged[-1][0], max(b, merged[-1][1]))
        else:
            merged.append((a, b))
    return tuple(merged)
