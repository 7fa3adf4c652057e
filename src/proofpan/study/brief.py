"""The brief: the question, what varies, what is judged, limits, claims. One model a noun of the study file."""

from __future__ import annotations

from datetime import date
from typing import Annotated, Any, Literal

from pydantic import AfterValidator, BeforeValidator, Field, field_validator, model_validator

from proofpan.study.declined import Declined
from proofpan.study.edits import Edit, check_shape
from proofpan.study.equipment import KeepingTests
from proofpan.study.errors import did_you_mean, quoted
from proofpan.study.fields import (
    Count,
    Day,
    Doc,
    Finite,
    Name,
    Names,
    NotNegative,
    Positive,
    Probability,
    Text,
    Texts,
    VersionText,
    When,
    as_number,
    as_text,
    one_of,
    plain_number,
    wrong,
)
from proofpan.study.kitchen import Country, Kitchen
from proofpan.study.recipe import Recipe

NEWEST_FORMAT = 1
MOST_PASSES = 4

Asks = Annotated[Literal["best", "worth it", "good enough"], one_of("best", "worth it", "good enough")]
Changed = Annotated[Literal["batch", "load", "tray"], one_of("batch", "load", "tray")]


class Taster(Doc):
    """Who tastes; what they don't eat leaves their order."""

    name: Name
    no: Texts = ()
    left: Day | None = None


def read_tasters(value: Any) -> Any:
    """Names, a number, or {name, no}."""
    if isinstance(value, bool):
        raise wrong("Tasters are a list of names, or how many there are.")
    if isinstance(value, (int, float)):
        number = as_number(value)
        if number != int(number) or not 1 <= number <= 500:
            raise wrong(f"{plain_number(number)} isn't a number of tasters between 1 and 500.")
        return [{"name": f"Taster {i}"} for i in range(1, int(number) + 1)]
    if isinstance(value, str):
        return [{"name": value}]
    if isinstance(value, (list, tuple)):
        if not value:
            raise wrong("Nobody tastes: name one taster at least.")
        return [v if isinstance(v, (dict, Taster)) else {"name": v} for v in value]
    return value


class Target(Doc):
    """A target on the scale: neither more nor less is better."""

    target: Finite


def read_better(value: Any) -> Any:
    """`more`, `less` or `{target: 6}`."""
    if isinstance(value, dict) and "target" in value:
        as_number(value["target"])
    if isinstance(value, (Target, dict)) or value in ("more", "less"):
        return value
    raise wrong(f"{quoted(value)} isn't a direction: more, less or {{target: 6}}.")


class Attribute(Doc):
    """Something judged or measured."""

    name: Name
    scale: tuple[float, float] = (0.0, 10.0)
    better: Annotated[Literal["more", "less"] | Target, BeforeValidator(read_better)] = "more"
    weight: Positive = 1.0
    worth: Positive = 0.5
    measured: bool = False
    unit: Text | None = None
    anchors: Texts = ()

    @field_validator("scale", mode="before")
    @classmethod
    def _ends(cls, value: Any) -> Any:
        if not isinstance(value, (list, tuple)) or len(value) != 2:
            raise wrong("The scale is its two ends, such as [0, 10].")
        low, high = as_number(value[0]), as_number(value[1])
        if low >= high:
            shown = f"[{plain_number(low)}, {plain_number(high)}]"
            raise wrong(f"The scale {shown} is upside down: the lower end first, such as [0, 10].")
        return (low, high)

    @model_validator(mode="after")
    def _target_on_scale(self) -> Attribute:
        if self.name.casefold() in ("overall", "overall, asked"):
            raise wrong("No attribute may be called overall: that is the weighted score, and is asked as itself.")
        if isinstance(self.better, Target) and not self.scale[0] <= self.better.target <= self.scale[1]:
            ends = " to ".join(plain_number(s) for s in self.scale)
            raise wrong(f"The target {plain_number(self.better.target)} lies off the scale of {ends}.")
        if self.worth > self.scale[1] - self.scale[0]:
            raise wrong(f"A worth of {plain_number(self.worth)} is wider than the whole scale: the smallest difference that matters is wanted.")
        return self

    def rescaled(self, score: Any) -> Any:
        """Scores on this attribute's scale as points from 0 to 10, more being better (arrays or numbers)."""
        low, high = self.scale
        if self.better == "more":
            return 10 * (score - low) / (high - low)
        if self.better == "less":
            return 10 * (high - score) / (high - low)
        target = self.better.target
        return 10 * (1 - abs(score - target) / max(target - low, high - target))

    @property
    def points_per_unit(self) -> float:
        """How many points on 0–10 one unit of the scale is."""
        low, high = self.scale
        if isinstance(self.better, Target):
            return 10 / max(self.better.target - low, high - self.better.target)
        return 10 / (high - low)


class Option(Doc):
    """One option of what varies: a named list of edits."""

    name: Name
    value: Finite | None = None
    edits: tuple[Annotated[Edit, BeforeValidator(check_shape)], ...] = ()
    recipe: Text | None = None
    benchmark: bool = False
    asks: Asks | None = None
    price: NotNegative | None = None
    contains: Texts = ()
    plain: bool = False
    visible: bool = False
    dropped: Day | None = None
    added: Day | None = None


class Factor(Doc):
    """One thing that varies, with its options."""

    name: Name
    changed: Changed = "batch"
    asks: Asks = "best"
    price: NotNegative | None = None
    visible: bool | Names = False
    when: When = ()
    options: tuple[Option, ...]
    lot: Text | None = None
    dropped: Day | None = None
    added: Day | None = None

    @field_validator("options", mode="before")
    @classmethod
    def _options(cls, value: Any) -> Any:
        if not isinstance(value, (list, tuple)):
            raise wrong("The options are a list, such as [{name: butter}, {name: olive oil}].")
        return [v if isinstance(v, (dict, Option)) else {"name": v} for v in value]

    @property
    def plain(self) -> Option:
        """The option *as written*: the one so marked, else the first."""
        return next((o for o in self.options if o.plain), self.options[0])

    @property
    def kept(self) -> tuple[Option, ...]:
        """Options that haven't been dropped."""
        return tuple(o for o in self.options if o.dropped is None)

    def option(self, name: str) -> Option | None:
        """The option of that name."""
        return next((o for o in self.options if o.name == name), None)

    def asks_of(self, option: str) -> str:
        """What is asked of an option: its own question, else the factor's."""
        found = self.option(option)
        return found.asks if found is not None and found.asks is not None else self.asks

    def is_visible(self, option: str) -> bool:
        """Whether codes can't blind an option."""
        found = self.option(option)
        if found is not None and found.visible:
            return True
        return self.visible if isinstance(self.visible, bool) else option in self.visible


def _passes(value: int) -> int:
    if value > MOST_PASSES:
        raise wrong(f"Each plate is tasted 1 to {MOST_PASSES} times, not {value}.")
    return value


class Plan(Doc):
    """How many loads make a round, and how many rounds there may be."""

    loads: Count = 1
    at_most: Count = 3
    passes: Annotated[Count, AfterValidator(_passes)] = 1
    plates: Count | None = None
    serve_within: Positive | None = None
    keeping: KeepingTests = ()


class Filming(Doc):
    """What is filmed while it is cooked: apart from what is judged.

    presenter: on camera, who puts in their ballot before the bite; hero: versions of which a batch is made for the camera alone;
    swap_outs: steps for which one stands ready half-made; a stand-in is there to light by.
    """

    presenter: Name | None = None
    hero: Texts = ()
    swap_outs: Names = ()
    stand_in: bool = True
    minutes_a_shot: Positive = 10

    @field_validator("hero", mode="before")
    @classmethod
    def _one(cls, value: Any) -> Any:
        several = [value] if isinstance(value, (dict, str)) else value
        if not isinstance(several, (list, tuple)):
            return value
        return ["; ".join(f"{k}={as_text(v)}" for k, v in x.items()) if isinstance(x, dict) else x for x in several]


class Claim(Doc):
    """A quantity or statement read or heard elsewhere, beside what we intend."""

    words: Text
    source: Text | None = None
    country: Country | None = None
    ours: Text | None = None
    ours_country: Country | None = None
    credit: Annotated[
        Literal["from", "adapted from", "inspired by"] | None, one_of("from", "adapted from", "inspired by", None)
    ] = None
    answered: Text | None = None


class Limits(Doc):
    """What the commission allows."""

    cost_a_serve: Positive | None = None
    active_minutes: Positive | None = None
    ingredients: Count | None = None
    must_use: Texts = ()
    diet: Texts = ()
    deadline: Day | None = None
    shoot: Day | None = None


class PairQuestion(Doc):
    """A named pair of options that asks its own question."""

    options: VersionText
    asks: Asks = "best"
    price: NotNegative | None = None


class Amendment(Doc):
    """A dated change of the brief."""

    on: Day | None = None
    what: Text
    why: Text = ""
    draft: Count | None = None
    after_round: int = 0


def _format(value: Any) -> Any:
    number = as_number(value)
    if number != int(number) or number < 1:
        raise wrong(f"format {plain_number(number)} isn't a format: the one known is {NEWEST_FORMAT}.")
    if number > NEWEST_FORMAT:
        raise wrong(f"This is a file of format {plain_number(number)}, from a newer proofpan; this one reads "
                    f"format {NEWEST_FORMAT}.")
    return int(number)


def _title(value: Any) -> Any:
    if value is None:
        raise wrong("The title is empty: give the study a title.")
    return value


class Brief(Doc):
    """Everything that a study file says before anything is cooked."""

    format: Annotated[int, BeforeValidator(_format)] = NEWEST_FORMAT
    title: Annotated[Name, BeforeValidator(_title)]
    question: Text = ""
    kitchen: Kitchen = Kitchen()
    tasters: Annotated[tuple[Taster, ...], BeforeValidator(read_tasters)] = (Taster(name="Taster 1"),)
    attributes: tuple[Attribute, ...] = Field(min_length=1)
    base: Recipe | None = None
    drafts: tuple[Recipe, ...] = ()
    factors: tuple[Factor, ...] = Field(min_length=1)
    never: tuple[VersionText, ...] = ()
    pairs: tuple[PairQuestion, ...] = ()
    rounds: Plan = Plan()
    claims: tuple[Claim, ...] = ()
    limits: Limits = Limits()
    filming: Filming | None = None
    disclosure: Text | None = None
    embargo: Day | None = None
    level: Probability = 0.95
    blind: bool = True
    invented: bool = False
    declined: tuple[Declined, ...] = ()
    amendments: tuple[Amendment, ...] = ()

    @property
    def worth(self) -> float:
        """The smallest overall difference that matters: attributes' worths, rescaled and weighted as scores are."""
        if len(self.attributes) == 1 and self.attributes[0].better == "more":
            return self.attributes[0].worth
        total = sum(a.weight for a in self.attributes)
        return sum(a.weight * a.worth * a.points_per_unit for a in self.attributes) / total

    @property
    def draft(self) -> int:
        """The number of the draft that the base recipe is."""
        return len(self.drafts) + 1

    def factor(self, name: str) -> Factor | None:
        """The factor of that name."""
        return next((f for f in self.factors if f.name == name), None)

    def price_of(self, factor: Factor, option: Option) -> float:
        """The price of an option in points: its own, its factor's, else `worth` for an extra and 0 otherwise."""
        if option.name == factor.plain.name:
            return option.price or 0.0
        if option.price is not None:
            return option.price
        if factor.asks_of(option.name) != "worth it":
            return 0.0 if factor.price is None else factor.price
        return self.worth if factor.price is None else factor.price

    @property
    def today(self) -> date | None:
        """The day of the last amendment, where one is dated."""
        return next((a.on for a in reversed(self.amendments) if a.on is not None), None)


def unknown_option(factor: Factor, option: str) -> str:
    """The sentence for an option that a factor doesn't have."""
    known = [o.name for o in factor.options]
    return f"{quoted(option)} isn't an option of {factor.name}. {did_you_mean(option, known)}"
