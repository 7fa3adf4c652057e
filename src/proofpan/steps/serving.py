"""Codes under the plates and each taster's order; plates that a taster can't have leave that order."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from proofpan.study.rounds import Order, PlannedTrial, PlateCode
from proofpan.study.study import Study

MOST_CODES = 900


def serve(
    study: Study, trials: Sequence[PlannedTrial], *, seed: int, passes: int, withheld: Mapping[tuple[str, int], str]
) -> tuple[tuple[PlateCode, ...], tuple[Order, ...]]:
    """A code for each plate, unique in the round, and each taster's order, balanced over tasters.

    Parameters: withheld, {(taster, trial): why} of plates that don't go to that taster.
    """
    from proofpan.science.panels import serving_orders, three_digit_codes

    tasters = study.tasters
    if not trials or not tasters:
        return (), ()
    first = serving_orders(len(trials), len(tasters), seed=seed)
    turns = [first, first.turned()]
    wanted = [
        (name, turn, place, int(sample))
        for turn in range(passes)
        for row, name in enumerate(tasters)
        for place, sample in enumerate(turns[turn % 2].orders[row])
        if (name, trials[int(sample)].trial) not in withheld
    ]
    codes = three_digit_codes(min(len(wanted), MOST_CODES), seed=seed + 1)
    plates = [
        PlateCode(taster=name, trial=trials[sample].trial, pass_=turn + 1, code=code)
        for (name, turn, _, sample), code in zip(wanted, codes, strict=False)
    ]
    orders = tuple(Order(taster=n, codes=tuple(p.code for p in plates if p.taster == n)) for n in tasters)
    return tuple(plates), orders
