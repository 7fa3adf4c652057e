"""What a day can be refused for, and what can go wrong in planning it."""


class DayworkError(ValueError):
    """A day that can't be read as a scheduling problem: an unknown name, an amount that fits nowhere, a circle."""


class Infeasible(DayworkError):
    """No plan keeps every limit; `conflict` names a minimal set of limits that clash, one sentence each."""

    def __init__(self, conflict: tuple[str, ...]) -> None:
        self.conflict = conflict
        shown, more = "; ".join(conflict[:3]), len(conflict) - 3
        if not conflict:
            super().__init__("No plan keeps every limit of this day; which of them clash wasn't found in time.")
        elif more > 0:
            super().__init__(f"These can't all hold: {shown}; and {more} more. Relax any one of them.")
        else:
            super().__init__(f"These can't all hold: {shown}. Relax any one of them.")


class NotFound(DayworkError):
    """No plan was found in the time allowed, and none was proven impossible: allow more seconds."""
