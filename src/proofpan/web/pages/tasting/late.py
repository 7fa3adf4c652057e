"""A taster who comes late: fresh codes that nobody has, in an order of their own, and plates marked late."""

from __future__ import annotations

from proofpan.steps.nolists import withheld_plates
from proofpan.study.rounds import Order, PlateCode, Round
from proofpan.study.study import Study

TRIES = 20


def with_late_taster(study: Study, round_: Round, taster: str, seed: int) -> Round:
    """The round with plates for one more taster; plates that they can't have are left out."""
    from proofpan.science.panels import serving_orders, three_digit_codes

    used = {p.code for p in round_.plates}
    withheld = withheld_plates(study, round_.trials)
    trials = [t.trial for t in round_.trials if (taster, t.trial) not in withheld and any(p.trial == t.trial for p in round_.plates)]
    if not trials:
        return round_
    order = serving_orders(len(trials), 1, seed=seed).orders[0]
    passes = max((p.pass_ for p in round_.plates), default=1)
    wanted = [(trials[int(i)], turn) for turn in range(1, passes + 1) for i in order]
    fresh: list[str] = []
    for attempt in range(TRIES):
        drawn = three_digit_codes(min(900, len(wanted) + len(used)), seed=seed + attempt)
        fresh = [c for c in drawn if c not in used][: len(wanted)]
        if len(fresh) == len(wanted):
            break
    plates = tuple(PlateCode(taster=taster, trial=t, pass_=turn, code=c) for (t, turn), c in zip(wanted, fresh, strict=False))
    codes = tuple(p.code for p in plates)
    return round_.model_copy(update={"plates": (*round_.plates, *plates), "serving": (*round_.serving, Order(taster=taster, codes=codes))})
