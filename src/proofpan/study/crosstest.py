"""A cross-test: the recipe as written, cooked in other kitchens and reported back."""

from __future__ import annotations

from proofpan.study.fields import Doc


class CrossTest(Doc):
    """What other kitchens found, of those who cooked it as written; runs with a swap test the swap."""

    worked: tuple[int, int]
    fails_at_most: float
    out_min: tuple[float, float] | None = None
    look_at: int | None = None
    unclear_steps: tuple[tuple[str, int], ...] = ()
    swapped_runs: tuple[tuple[str, str, bool | None], ...] = ()
    makes: tuple[float, float] | None = None
    again: tuple[int, int] | None = None
    says: tuple[str, ...] = ()

    @property
    def unclear(self) -> dict[str, int]:
        """{step: testers whom it troubled}."""
        return dict(self.unclear_steps)

    @property
    def swapped(self) -> tuple[tuple[str, str, bool | None], ...]:
        """(tester, swap, worked) of runs that weren't as written."""
        return self.swapped_runs
