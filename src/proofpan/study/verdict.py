"""The verdict: what is settled, what isn't, what to publish today, what to cook next."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Any

from pydantic import PrivateAttr

from proofpan.study.fields import Doc
from proofpan.study.rounds import Round
from proofpan.study.trials import VersionField

if TYPE_CHECKING:
    import pandas as pd

AVERAGED = "averaged"
YES_WORDS = ("better", "worth it", "good enough")
NO_WORDS = ("no difference that matters", "not worth it", "not good enough")
NOT_SETTLED = "not settled"


class VersionRow(Doc):
    """One version in the verdict's table."""

    version: VersionField
    score: float
    low: float
    high: float
    odds_best: float | None = None
    odds_within_worth: float | None = None
    odds_publish: float | None = None
    cooked: int = 0
    failed: int = 0
    outside: str | None = None
    price: float = 0.0
    benchmark: bool = False
    odds_fail: float | None = None


class EffectRow(Doc):
    """One answer: an option against another, for one attribute."""

    attribute: str
    factor: str
    option: str
    against: str
    at: str = AVERAGED
    asks: str = "best"
    difference: float
    low: float
    high: float
    odds_better: float
    odds_over_worth: float
    odds_over_worth_before: float | None = None   # what would have been said before anyone tasted, of an extra or a swap
    price: float = 0.0
    worth: float = 0.0
    outcome: str = NOT_SETTLED
    needed: int | None = None

    @property
    def settled(self) -> bool:
        """Whether the question has its answer."""
        return self.outcome != NOT_SETTLED

    @property
    def yes(self) -> bool:
        """Whether the answer is a yes."""
        return self.outcome in YES_WORDS


class TasterRow(Doc):
    """How one taster's scores hold up."""

    taster: str
    repeatability: float | None = None
    agreement: float | None = None
    use_of_scale: float | None = None
    drift: float | None = None
    note: str = ""


class Best(Doc):
    """The version with the highest expected score, before prices."""

    version: VersionField
    odds: float
    within_worth: float
    expected_loss: float


class PublishToday(Doc):
    """What to publish if the text is due today."""

    version: VersionField
    because: str
    simplest: VersionField
    says: tuple[str, ...] = ()
    regret: float = 0.0
    within_worth: float = 0.0
    speaks_for: str = "these tasters"
    price: float = 0.0
    headline: str = ""
    dont_say: tuple[str, ...] = ()
    simplest_says: str = ""


class WhatNext(Doc):
    """Whether another round is worth its cost. Worked out when it is first read, and so is `round`: a verdict needn't wait for them."""

    _weigh: Callable[[], tuple[bool, float, str]] | None = PrivateAttr(default=None)
    _make: Callable[[], Round] | None = PrivateAttr(default=None)
    _weighed: tuple[bool, float, str] | None = PrivateAttr(default=None)
    _round: Round | None = PrivateAttr(default=None)

    @property
    def stop(self) -> bool:
        """Whether to stop here."""
        return self._known()[0]

    @property
    def gain(self) -> float:
        """Expected points that another round adds to what is published."""
        return self._known()[1]

    @property
    def why(self) -> str:
        """The advice in words."""
        return self._known()[2]

    @property
    def round(self) -> Round | None:
        """The round to cook next."""
        if self._round is None and self._make is not None:
            self._round = self._make()
        return self._round

    def _known(self) -> tuple[bool, float, str]:
        if self._weighed is None:
            self._weighed = self._weigh() if self._weigh is not None else (False, 0.0, "")
        return self._weighed

    @classmethod
    def later(cls, weigh: Callable[[], tuple[bool, float, str]], make: Callable[[], Round]) -> WhatNext:
        """Advice and round that are worked out when they are read."""
        found = cls()
        found._weigh, found._make = weigh, make
        return found


class Answer(Doc):
    """One question of the brief with its answer in words, as the page and the report show it."""

    asks: str
    question: str
    headline: str
    outcome: str
    do: str
    numbers: str
    more: str
    lean: str = ""                       # which way it leans, where it isn't settled
    row: EffectRow


class Interaction(Doc):
    """Two factors that change each other's answer."""

    first: str
    second: str
    headline: str
    says: str
    points: tuple[tuple[str, str, float, float, float], ...] = ()


class Verdict(Doc):
    """What few trials say of every version that could be made."""

    title: str
    said: tuple[str, ...]
    cautions: tuple[str, ...] = ()
    best: Best
    publish: PublishToday
    next: WhatNext
    rows: tuple[VersionRow, ...] = ()
    effect_rows: tuple[EffectRow, ...] = ()
    taster_rows: tuple[TasterRow, ...] = ()
    answers: tuple[Answer, ...] = ()
    interactions: tuple[Interaction, ...] = ()
    factor_names: tuple[str, ...] = ()
    trials: int = 0
    ballots: int = 0
    limits: tuple[str, ...] = ()
    weights: tuple[str, ...] = ()
    whose: str = ""                      # whose palates it speaks for
    other_kitchens: tuple[str, ...] = () # of the cautions, those on other kitchens' marks
    not_blind: tuple[str, ...] = ()      # of the cautions, those on what wasn't blind
    worth: float = 0.5
    level: float = 0.95
    scale: tuple[float, float] = (0.0, 10.0)

    @property
    def says(self) -> tuple[str, ...]:
        """The verdict in sentences, in order; what to do next comes last."""
        return tuple(s for s in (*self.said, self.next.why) if s)

    def table(self) -> pd.DataFrame:
        """A row a version, best score first."""
        import pandas as pd

        columns = ["version", *self.factor_names, "score", "low", "high", "odds_best", "odds_within_worth", "odds_publish",
                   "cooked", "failed", "outside"]
        rows: list[dict[str, Any]] = []
        for r in self.rows:
            row = {c: getattr(r, c) for c in columns if c not in self.factor_names}
            row["version"] = str(r.version)
            rows.append({**row, **{f: r.version.get(f) for f in self.factor_names}})
        return pd.DataFrame(rows, columns=columns)

    def effects(self) -> pd.DataFrame:
        """A row an answer."""
        import pandas as pd

        columns = ["attribute", "factor", "option", "against", "at", "asks", "difference", "low", "high", "odds_better",
                   "odds_over_worth", "price", "outcome", "needed"]
        frame = pd.DataFrame([[getattr(r, c) for c in columns] for r in self.effect_rows], columns=columns)
        frame["needed"] = frame["needed"].astype(object)
        return frame

    def tasters(self) -> pd.DataFrame:
        """A row a taster."""
        import pandas as pd

        columns = ["taster", "repeatability", "agreement", "use_of_scale", "drift", "note"]
        return pd.DataFrame([[getattr(r, c) for c in columns] for r in self.taster_rows], columns=columns)
