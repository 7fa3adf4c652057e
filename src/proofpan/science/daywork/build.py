"""The kitchen day written as a constraint model, and what a plan needs to be read from its solution.

One builder serves planning, re-planning and explaining, so that all three mean the same limits.
"""

from collections.abc import Collection, Mapping

from proofpan.science.daywork.alike import in_turn
from proofpan.science.daywork.clock import add_orders, add_tasks
from proofpan.science.daywork.danger import add_danger
from proofpan.science.daywork.hands import add_hands, add_pools
from proofpan.science.daywork.limits import Limits
from proofpan.science.daywork.model import DayModel
from proofpan.science.daywork.ovens import add_ovens
from proofpan.science.daywork.plates import add_servings
from proofpan.science.daywork.task import Started
from proofpan.science.daywork.things import add_things


class Build(Limits):
    """The constraint model of a day."""

    def __init__(
        self,
        model: DayModel,
        started: Mapping[str, Started] | None = None,
        now: int | None = None,
        mode: str = "plan",
        kept: Collection[str] | None = None,
        pooled: bool = False,
        endless: bool = False,
    ) -> None:
        super().__init__(model, started, now, mode, kept, pooled, endless)
        add_tasks(self)
        add_orders(self)
        if not pooled:
            add_hands(self)
        add_ovens(self)
        add_things(self)
        add_servings(self)
        add_danger(self)
        add_shortcuts(self)


def add_shortcuts(on: Limits) -> None:
    """Redundant constraints: no plan worth having is lost, and proofs come sooner."""
    cp, model = on.cp, on.model
    for first, second in in_turn(model, on.started):
        if first.group is None or first.group != second.group:
            cp.add(on.start[first.key] <= on.start[second.key])
    if not on.doubted:
        add_pools(on)
