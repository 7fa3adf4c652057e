"""A tie-break: two plates, one colleague, and what that one vote moves."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from proofpan.steps.observing import cooked_of, overall_points, scores_of, smallest_step
from proofpan.steps.rounds import model_worth, next_number
from proofpan.study.errors import StudyError
from proofpan.study.fields import Doc
from proofpan.study.rounds import Order, PlannedTrial, PlateCode, Round
from proofpan.study.study import Study
from proofpan.study.versions import Version, complete
from proofpan.study.words import odds, version_words

COLLEAGUE = "A colleague"


class TieBreak(Doc):
    """Two plates for one colleague, both orders, and the odds before and after."""

    round: Round
    plate_codes: tuple[tuple[str, int, str], ...]
    orders: tuple[tuple[str, ...], tuple[str, ...]]
    now: tuple[tuple[str, float], ...]
    after: tuple[tuple[str, float], ...]
    says: tuple[str, ...]

    @property
    def codes(self) -> dict[tuple[str, int], str]:
        """{(version text, pass): code}."""
        return {(v, p): c for v, p, c in self.plate_codes}

    @property
    def odds_now(self) -> dict[str, float]:
        """{version text: odds that it is the better of the two}."""
        return dict(self.now)

    @property
    def odds_after(self) -> dict[str, float]:
        """The same once the colleague picked it."""
        return dict(self.after)


def tie_break(study: Study, versions: Sequence[Any], seed: int = 0) -> TieBreak:
    """Two plates for one colleague.

    Parameters: versions, the two; seed, draws codes and which order comes first.

    Raises: StudyError unless two different versions are given.
    """
    pair = [study.version(v) for v in versions]
    if len(pair) != 2 or pair[0] == pair[1]:
        raise StudyError("A tie-break is between two different versions.")
    from proofpan.science.panels import three_digit_codes
    from proofpan.science.versions import fit, tie_break_odds

    cooked = cooked_of(study)
    points = overall_points(study)
    posterior = fit(cooked.space, scores_of(study, cooked, points, smallest_step(points)), worth=model_worth(study))
    i, j = (_index(study, cooked.index, v) for v in pair)
    found = tie_break_odds(posterior, i, j)
    other = tie_break_odds(posterior, j, i)
    codes = three_digit_codes(4, seed=seed)
    texts = [str(v) for v in pair]
    plate_codes = tuple((texts[k % 2], k // 2 + 1, codes[k]) for k in range(4))
    forward, back = (codes[0], codes[1]), (codes[3], codes[2])
    orders = (forward, back) if seed % 2 == 0 else (forward[::-1], back[::-1])
    return TieBreak(
        round=_round(study, pair, codes), plate_codes=plate_codes, orders=orders,
        now=((texts[0], found.now), (texts[1], 1 - found.now)), after=((texts[0], found.after), (texts[1], other.after)),
        says=_words(pair, found.now, found.after, other.after),
    )


def _index(study: Study, index: Any, version: Version) -> int:
    full = complete(study.brief, version)
    if full not in index:
        raise StudyError(f"{version} can't be made: never rules it out.")
    return int(index[full])


def _round(study: Study, pair: list[Version], codes: tuple[str, ...]) -> Round:
    first = max((t.trial for t in study.trial_records), default=0) + 1
    trials = tuple(PlannedTrial(trial=first + k, version=v, load=1, place=k + 1, why="One of the two to choose between.")
                   for k, v in enumerate(pair))
    taster = study.tasters[0] if study.tasters else COLLEAGUE
    plates = tuple(PlateCode(taster=taster, trial=first + k % 2, pass_=k // 2 + 1, code=codes[k]) for k in range(4))
    serving = (Order(taster=taster, codes=(codes[0], codes[1], codes[3], codes[2])),)
    return Round(number=next_number(study), trials=trials, plates=plates, serving=serving, kind="tie-break",
                 cautions=("Serve both plates at once, same part and size; say nothing until the mark is made.",))


def _words(pair: list[Version], now: float, after: float, after_other: float) -> tuple[str, ...]:
    lead, trail = (0, 1) if now >= 0.5 else (1, 0)
    ahead = max(now, 1 - now)
    one, other = version_words(pair[lead]), version_words(pair[trail])
    agrees, disagrees = (after, after_other) if lead == 0 else (after_other, after)
    swing = "is then the likelier one" if disagrees > 0.5 else "is still the less likely one"
    return (
        f"As it stands, {one} is the better of the two, {odds(ahead)}.",
        f"A colleague who picks it moves that to {odds(agrees)}; one who picks {other} leaves {other} at {odds(disagrees)}: it {swing}.",
    )
