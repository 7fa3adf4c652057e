"""What a day can be refused for, and what can go wrong in planning it."""


class DayworkError(ValueError):
    """A day that can't be read as a scheduling problem: an unknown name, an amount that fits nowhere, a circle."""


class Infeasible(DayworkError):
    """No plan keeps every limit; `conflict` names limits that clash, one sentence each.

    `minimal`: none of them could be left out, so easing any one of them enough settles this clash. Else time ran out while the set was made smaller.
    """

    def __init__(self, conflict: tuple[str, ...], minimal: bool = True) -> None:
        self.conflict, self.minimal = conflict, minimal and bool(conflict)
        shown, more = "; ".join(conflict[:3]), len(conflict) - 3
        some = f"; and {more} more" if more > 0 else ""
        if not conflict:
            super().__init__("No plan keeps every limit of this day; which of them clash wasn't found in time.")
        elif self.minimal:
            super().__init__(f"These can't all hold: {shown}{some}. Relax any one of them.")
        else:
            super().__init__(f"These can't all hold: {shown}{some}. Easing one of them may not be enough.")


class NotFound(DayworkError):
    """No plan was found in the time allowed, and none was proven impossible: allow more seconds."""
