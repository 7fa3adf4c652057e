"""What a tray of toasted bread said of an oven's places, kept with the oven, and how it is said."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field, model_validator

from proofpan.study.fields import Day, Doc, Finite, wrong
from proofpan.study.words import capital, joined

SEEN = 2.0    # difference in L* that a cook sees side by side (common practice, no source)
_DOWN = {1: ("",), 2: ("back", "front"), 3: ("back", "middle", "front")}
_ACROSS = {1: ("",), 2: ("left", "right"), 3: ("left", "middle", "right")}


class BreadMap(Doc):
    """What a tray of bread said of an oven's places, back row first and left first: how much darker than the tray's mean, in L*.

    low, high: 95 % intervals; told: how far the darkest and the palest were told apart, at least (0: not told apart).
    """

    rows: Annotated[int, Field(ge=1, le=6)]
    columns: Annotated[int, Field(ge=1, le=6)]
    darker: tuple[Finite, ...]
    low: tuple[Finite | None, ...] = ()
    high: tuple[Finite | None, ...] = ()
    told: Annotated[float, Field(ge=0)] = 0.0
    on: Day | None = None

    @model_validator(mode="after")
    def _a_figure_a_place(self) -> BreadMap:
        if len(self.darker) != self.rows * self.columns:
            raise wrong(f"A bread map of {self.rows} by {self.columns} places has as many figures, not {len(self.darker)}.")
        return self


def place_words(bread: BreadMap, number: int) -> str:
    """Where a place lies: `back left`; numbered from 0, back row first."""
    row, column = divmod(number, bread.columns)
    down = _DOWN[bread.rows][row] if bread.rows in _DOWN else f"row {row + 1} from the back"
    across = _ACROSS[bread.columns][column] if bread.columns in _ACROSS else f"{column + 1} from the left"
    return "middle" if down == across == "middle" else " ".join(filter(None, (down, across)))


def map_words(bread: BreadMap) -> tuple[str, ...]:
    """The map in sentences: what was told apart, what wasn't, and what to do."""
    order = sorted(range(len(bread.darker)), key=lambda p: -bread.darker[p])
    dark, pale = order[0], order[-1]
    apart = bread.darker[dark] - bread.darker[pale]
    if bread.told <= 0:
        return (f"The places weren't told apart: the darkest, {place_words(bread, dark)}, is {apart:.1f} steps of lightness below the palest, "
                "within what slices of bread differ by. Nothing has to change.",)
    out = [f"{capital(place_words(bread, dark))} browns most, {place_words(bread, pale)} least: {apart:.1f} steps of lightness apart, "
           f"at least {bread.told:.1f}."]
    hot = hot_places(bread)
    if apart < SEEN:
        out.append("That is less than is seen side by side. Nothing has to change.")
    else:
        where = joined(place_words(bread, p) for p in hot) if hot else place_words(bread, dark)
        out.append(f"Turn the tray halfway, or leave {where} empty; in a round let every option stand on every place in turn.")
    return tuple(out)


def hot_places(bread: BreadMap) -> list[int]:
    """Places that are surely darker than the tray's mean."""
    return [p for p, low in enumerate(bread.low) if low is not None and low > 0]
