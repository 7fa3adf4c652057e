"""The kitchen that a brief names: its ovens, cooks, hours and things, and how its house writes."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field, field_validator, model_validator

from proofpan.study.bread_map import BreadMap
from proofpan.study.countries import COUNTRIES
from proofpan.study.equipment import Breaks, Packs, ShelvesTaken, Skills, Things, a_break, skill
from proofpan.study.errors import QuantityError, did_you_mean, quoted
from proofpan.study.fields import Count, Doc, Finite, Name, Names, Positive, Text, Texts, as_text, one_of, wrong
from proofpan.study.house import HouseStyle, house_style, style_of

OvenKind = Annotated[
    Literal["fan", "conventional", "gas", "steam", "other"], one_of("fan", "conventional", "gas", "steam", "other")
]


def _country(value: Any) -> Any:
    text = str(value).strip()
    if isinstance(value, bool) or text.upper() not in COUNTRIES:
        raise wrong(f"{quoted(value)} isn't a country code: AU, NZ, UK, US, CA, IE, IN or another two-letter code.")
    return COUNTRIES[text.upper()]


Country = Annotated[str, BeforeValidator(_country)]


class Oven(Doc):
    """One oven: its trays, the places on each, and what was found out about it.

    offset_c, heat_transfer_w_m2k, fitted: by a probe's log, how far off it runs and how it gives its heat; bread: by a tray of toasted bread.
    """

    name: Name = "main"
    kind: OvenKind = "fan"
    trays: Count = 1
    places: Count = 1
    offset_c: Annotated[float, Field(ge=-80, le=80)] | None = None
    heat_transfer_w_m2k: Annotated[float, Field(gt=0, le=1000)] | None = None
    fitted: Text | None = None
    bread: BreadMap | None = None


def read_house(value: Any) -> Any:
    """A house style by its name, or its keys written out."""
    if value is None or isinstance(value, HouseStyle):
        return value
    try:
        return style_of(value, "style") if isinstance(value, dict) else house_style(as_text(value)).name
    except QuantityError as error:
        raise wrong(str(error)) from None


Style = Annotated[str | HouseStyle, BeforeValidator(read_house)]


class Kitchen(Doc):
    """Where it is cooked, and with what.

    things: what there is by count ("4 bowls"); what a step needs of it is held to that, what isn't listed is without limit.
    fridge_shelves, places_a_shelf: room for what waits in the fridge; fridge_taken: shelves that hold something else, by day.
    danger_zone: the authority whose temperatures and minutes count; without one, the country's.
    """

    country: Country | None = None
    ovens: tuple[Oven, ...] = ()
    hobs: Count = 4
    people: Names = ("cook",)
    hours: Texts = ()
    breaks: Breaks = ()
    skills: Skills = ()
    things: Things = ()
    fridge_shelves: Count | None = None
    places_a_shelf: Count = 4
    fridge_taken: ShelvesTaken = ()
    packs: Packs = ()
    danger_zone: Text | None = None
    scale_g: Positive = 1.0
    altitude_m: Finite = 0.0
    currency: Text | None = None
    prices: tuple[Text, ...] = ()
    style: Style | None = None

    @field_validator("ovens", mode="before")
    @classmethod
    def _list(cls, value: Any) -> Any:
        return [value] if isinstance(value, dict) else value

    @model_validator(mode="after")
    def _people_are_known(self) -> Kitchen:
        for named in [a_break(b).name for b in self.breaks] + [skill(s).name for s in self.skills]:
            if named not in self.people:
                raise wrong(f"{quoted(named)} isn't one of the kitchen's people. {did_you_mean(named, list(self.people))}")
        return self
