"""The base recipe as it is written: ingredients, steps, settings."""

from __future__ import annotations

import re
from typing import Annotated, Any

from pydantic import BeforeValidator, Field, ValidationInfo, field_validator, model_validator

from proofpan.study.countries import measures_of
from proofpan.study.equipment import Things
from proofpan.study.errors import quoted
from proofpan.study.fields import Count, Doc, Name, NotNegative, Text, Texts, as_number, wrong

HOTTEST_C, COOLEST_C = 300.0, 30.0
HOTTEST_F, COOLEST_BARE_F = 570.0, 200.0     # bare numbers between them may be either unit where ovens are marked in Fahrenheit
LONGEST_MINUTES = 60 * 24 * 60.0
_TEMPERATURE = re.compile(r"(-?\d+(?:[.,]\d+)?)\s*(?:°|º|deg(?:rees)?)?\s*([CF])\b", re.I)
_GAS = re.compile(r"\bgas\b(?:\s*mark)?\s*(\d+(?:/\d+)?|[¼½])", re.I)
_BARE = re.compile(r"^\s*(-?\d+(?:[.,]\d+)?)\s*(?:°|fan|conventional|\s)*$", re.I)
GAS_MARK_C = {"1/4": 110, "¼": 110, "1/2": 120, "½": 120, "1": 140, "2": 150, "3": 160, "4": 180, "5": 190, "6": 200}
GAS_MARK_C |= {"7": 220, "8": 230, "9": 240}


class OvenSetting(Doc):
    """An oven's setting as written, with its temperature in degrees Celsius and its kind."""

    text: str
    temperature_c: float
    fan: bool | None = None

    @model_validator(mode="before")
    @classmethod
    def _read(cls, value: Any, info: ValidationInfo) -> Any:
        if isinstance(value, dict) and "temperature_c" in value:
            return value
        return read_oven(value, (info.context or {}).get("country"))


def read_oven(value: Any, country: str | None = None) -> dict[str, Any]:
    """`170 C fan`, `350 F`, `gas mark 4`, `180`.

    Parameters: country, of the kitchen: where ovens are marked in Fahrenheit a bare number that could be either is refused.
    Raises: a sentence when it holds no temperature, one that no kitchen oven has, or one whose unit would be guessed.
    """
    if isinstance(value, bool) or not isinstance(value, (str, int, float)):
        raise wrong("An oven setting is wanted, such as 180 C fan, 350 F or gas mark 4.")
    text = str(getattr(value, "written", value)).strip()
    fan = True if re.search(r"\bfan\b|convection", text, re.I) else None
    if re.search(r"conventional|no fan|static", text, re.I):
        fan = False
    if gas := _GAS.search(text):
        mark = gas.group(1)
        if mark not in GAS_MARK_C:
            raise wrong(f"The oven setting {quoted(text)} isn't a gas mark between ¼ and 9.")
        return {"text": text, "temperature_c": float(GAS_MARK_C[mark]), "fan": False}
    match = _TEMPERATURE.search(text) or _BARE.match(text)
    if match is None:
        raise wrong(f"The oven setting {quoted(text)} holds no temperature: write 180 C fan, 350 F or gas mark 4.")
    number = float(match.group(1).replace(",", "."))
    fahrenheit = match.re is _TEMPERATURE and match.group(2).upper() == "F"
    celsius = (number - 32) / 1.8 if fahrenheit else number
    bare = match.re is _BARE
    if bare and (celsius > HOTTEST_C or country == "US" and celsius >= COOLEST_BARE_F) and number <= HOTTEST_F:
        raise wrong(f"Is an oven at {quoted(text)} in degrees C or F? Write {number:g} F or {number:g} C.")
    if not COOLEST_C <= celsius <= HOTTEST_C:
        limit = "30 to 300 C (85 to 570 F)"
        raise wrong(f"An oven at {quoted(text)} isn't possible in a kitchen: {limit} is.")
    return {"text": text, "temperature_c": round(celsius, 6), "fan": fan}


def read_minutes(value: Any) -> Any:
    """`8` or `[12, 15]` as (low, high)."""
    if value is None:
        return None
    parts = value if isinstance(value, (list, tuple)) else [value]
    if len(parts) not in (1, 2):
        raise wrong("Minutes are a number, or a range of two such as [12, 15].")
    try:
        numbers = [as_number(p) for p in parts]
    except ValueError:
        raise wrong(f"{quoted(value)} isn't minutes: write a number such as 8, or a range such as [12, 15].") from None
    low, high = numbers[0], numbers[-1]
    if low < 0 or high < low or high > LONGEST_MINUTES:
        raise wrong(f"{quoted(value)} isn't possible as minutes: from 0 up, the shorter first, at most 60 days.")
    return (low, high)


Minutes = Annotated[tuple[float, float] | None, BeforeValidator(read_minutes)]


class Ingredient(Doc):
    """One line of the list: as written, and the item that edits name it by."""

    text: str
    item: str
    prep: str = ""
    id: Name | None = None
    group: str | None = None
    changed_by: str | None = None

    @model_validator(mode="before")
    @classmethod
    def _read(cls, value: Any, info: ValidationInfo) -> Any:
        if isinstance(value, dict) and "text" in value and "item" in value:
            return value
        country = (info.context or {}).get("country")
        if isinstance(value, dict):
            return _from_parts(value, country)
        if isinstance(value, bool) or not isinstance(value, (str, int, float)):
            raise wrong("An ingredient is a line of text such as 250 g plain flour.")
        return read_ingredient(str(value), country)

    @property
    def named(self) -> str:
        """What an edit calls it."""
        return self.id or self.item


def read_ingredient(line: str, country: str | None) -> dict[str, Any]:
    """A line of text as the keys of an Ingredient.

    Raises: a sentence for a missing or unknown unit and negative or absurd amounts.
    """
    from proofpan.science.measures import check_line, parse_line

    line, country = " ".join(line.split()), measures_of(country)
    if not line:
        raise wrong("An ingredient line is empty: write it out, or take it away.")
    fault = check_line(line, country)
    if fault is not None:
        raise wrong(fault.says)
    parsed = parse_line(line, country)
    return {"text": line, "item": parsed.item or line, "prep": parsed.prep or ""}


def _from_parts(value: dict[str, Any], country: str | None) -> dict[str, Any]:
    known = {"item", "amount", "prep", "id", "group"}
    unknown = next((k for k in value if k not in known), None)
    if unknown is not None:
        raise wrong(f"{quoted(unknown)} isn't a key of an ingredient: item, amount, prep, id.")
    if not value.get("item"):
        raise wrong("An ingredient needs an item, such as {item: plain flour, amount: 250 g}.")
    amount, item, prep = (str(value.get(k) or "").strip() for k in ("amount", "item", "prep"))
    line = " ".join(p for p in (amount, item) if p) + (f", {prep}" if prep else "")
    out = read_ingredient(line, country)
    return {**out, "item": item, "prep": prep, "id": value.get("id"), "group": value.get("group")}


class Step(Doc):
    """One step of the method."""

    id: Name
    do: Text
    minutes: Minutes = None
    until: Text | None = None
    hands: NotNegative | None = None
    oven: OvenSetting | None = None
    hob: Text | None = None
    rest: Text | None = None
    needs: Things = ()
    skill: Text | None = None
    within: NotNegative | None = None
    changed_by: str | None = None

    @property
    def expected_minutes(self) -> float | None:
        """The middle of the step's minutes."""
        return None if self.minutes is None else sum(self.minutes) / 2


SETTINGS = ("do", "minutes", "until", "hands", "oven", "hob", "rest", "needs", "skill", "within")


class Recipe(Doc):
    """A recipe as written; an option is an edit to it."""

    title: Text
    headnote: Text | None = None
    makes: Text | None = None
    serves: Count | None = None
    trial_makes: Text | None = None
    cooked_weight: Text | None = None       # what the whole weighs when it is done: 640 g, or 82 %
    tin: Text | None = None
    equipment: Texts = ()
    total_minutes: NotNegative | None = None
    ingredients: tuple[Ingredient, ...] = Field(min_length=1)
    method: tuple[Step, ...] = ()
    notes: Texts = ()
    keeping: Text | None = None
    make_ahead: Text | None = None
    variations: Texts = ()
    credits: Texts = ()
    shown: Texts = ()          # what the photographs show, so that nothing stands in a picture that isn't on the list

    @field_validator("ingredients", mode="before")
    @classmethod
    def _groups(cls, value: Any) -> Any:
        if not isinstance(value, (list, tuple)):
            raise wrong("The ingredients are a list, one line each.")
        flat: list[Any] = []
        for line in value:
            if isinstance(line, dict) and ("items" in line or "for" in line) and "item" not in line:
                group, items = line.get("for"), line.get("items")
                if not isinstance(items, (list, tuple)) or group is None:
                    raise wrong("A group of ingredients is {for: the glaze, items: [...]}.")
                for item in items:
                    parts = item if isinstance(item, dict) else {"line": item}
                    flat.append(_Grouped(parts, str(group)))
            else:
                flat.append(line)
        return flat

    @field_validator("method", mode="before")
    @classmethod
    def _ids(cls, value: Any) -> Any:
        if not isinstance(value, (list, tuple)):
            raise wrong("The method is a list of steps, each {id: mix, do: \"…\", minutes: 8}.")
        return [_step(v, i) for i, v in enumerate(value, 1)]

    def step(self, step_id: str) -> Step | None:
        """The step of that id."""
        return next((s for s in self.method if s.id.lower() == step_id.strip().lower()), None)


class _Grouped(dict):
    """A line inside a group, on its way to becoming an Ingredient."""

    def __init__(self, parts: dict[str, Any], group: str) -> None:
        if "line" in parts:
            line = " ".join(str(parts["line"]).split())
            super().__init__(read_ingredient(line, None), group=group)
        else:
            super().__init__({**parts, "group": group})


def _step(value: Any, number: int) -> Any:
    if isinstance(value, str):
        return {"id": f"step {number}", "do": value}
    if isinstance(value, dict) and "id" not in value:
        return {"id": f"step {number}", **value}
    return value
