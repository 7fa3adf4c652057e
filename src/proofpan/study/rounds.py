"""A round: the loads cooked and tasted together, with the codes under the plates and each taster's order."""

from __future__ import annotations

from pydantic import model_validator

from proofpan.study.fields import Doc
from proofpan.study.trials import VersionField


class PlannedTrial(Doc):
    """One trial of a round before it is cooked."""

    trial: int
    version: VersionField
    load: int | None = None
    tray: int | None = None
    place: int | None = None
    lot: str = ""
    why: str = ""
    size: str = "test"


class PlateCode(Doc):
    """The code under one plate of one taster."""

    taster: str
    trial: int
    pass_: int = 1
    code: str


class Order(Doc):
    """The order in which one taster is given their plates."""

    taster: str
    codes: tuple[str, ...]


class Round(Doc):
    """Trials proposed together; `codes` and `orders` hide the versions."""

    number: int
    trials: tuple[PlannedTrial, ...] = ()
    plates: tuple[PlateCode, ...] = ()
    serving: tuple[Order, ...] = ()
    cautions: tuple[str, ...] = ()
    gain: float = 0.0
    kind: str = "round"

    @model_validator(mode="after")
    def _codes_are_unique(self) -> Round:
        codes = [p.code for p in self.plates]
        if len(set(codes)) != len(codes):
            raise ValueError("two plates of a round bear one code")
        return self

    @property
    def codes(self) -> dict[tuple[str, int, int], str]:
        """{(taster, trial, pass): code}."""
        return {(p.taster, p.trial, p.pass_): p.code for p in self.plates}

    @property
    def orders(self) -> dict[str, list[str]]:
        """{taster: codes in the order they are served}."""
        return {o.taster: list(o.codes) for o in self.serving}

    def plate(self, taster: str, code: str) -> PlateCode | None:
        """The plate that bears a code for a taster."""
        return next((p for p in self.plates if p.code == code and p.taster == taster), None)

    def __bool__(self) -> bool:
        return bool(self.trials)


def no_round(number: int, why: str) -> Round:
    """A round that proposes nothing, and says why."""
    return Round(number=number, cautions=(why,))
