"""A cross-test: the recipe as written, cooked in other kitchens and reported back; and the pack that a tester is sent."""

from __future__ import annotations

from proofpan.study.fields import Doc
from proofpan.study.reader_recipe import ReaderRecipe


class AskedLine(Doc):
    """One line of the text as a tester sees it; `name` is what answers call it, `timed` whether its real time is asked for."""

    name: str
    kind: str                       # ingredient, step
    text: str
    timed: bool = False


class TesterPack(Doc):
    """What a tester is sent: the text exactly as it will be printed, in their measures, and what is asked."""

    recipe: ReaderRecipe
    version: str
    measures: str
    lines: tuple[AskedLine, ...]
    main_step: str | None = None    # the step whose end is “done”
    tester: str = ""
    digest: str = ""
    celsius: bool = True
    control: str = ""               # what the control is, where the kitchen is asked to make it too
    control_version: str = ""       # the same as the study names it
    control_changes: tuple[tuple[str, str, str], ...] = ()     # (ingredient or step, line of the text, line instead); an empty side is new or left out
    control_contains: tuple[str, ...] = ()              # allergens that the text itself doesn't have

    @property
    def steps(self) -> tuple[AskedLine, ...]:
        """The steps alone."""
        return tuple(x for x in self.lines if x.kind == "step")


class Kitchens(Doc):
    """What differs between kitchens, each a draw from all kitchens (a random effect)."""

    kitchens: int
    runs: int
    mean: float
    between_sd: float | None = None
    within_sd: float | None = None
    next_low: float | None = None
    next_high: float | None = None
    says: str = ""


class AgainstControl(Doc):
    """The recipe against the control in kitchens that made both."""

    kitchens: int
    difference: float
    low: float | None = None
    high: float | None = None
    says: str = ""


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
    failures: tuple[tuple[str, str], ...] = ()
    step_times: tuple[tuple[str, float, float, int], ...] = ()
    words: tuple[tuple[str, str, str], ...] = ()
    kitchens: Kitchens | None = None
    against_control: AgainstControl | None = None

    @property
    def unclear(self) -> dict[str, int]:
        """{line: testers whom it troubled}."""
        return dict(self.unclear_steps)

    @property
    def times(self) -> dict[str, tuple[float, float]]:
        """{step: (shortest, longest) minutes of those who cooked it as written}."""
        return {s: (low, high) for s, low, high, _ in self.step_times}

    @property
    def swapped(self) -> tuple[tuple[str, str, bool | None], ...]:
        """(tester, swap, worked) of runs that weren't as written."""
        return self.swapped_runs
