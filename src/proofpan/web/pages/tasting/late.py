"""A taster who comes late: fresh codes that nobody has, in an order of their own, and plates marked late."""

from __future__ import annotations

from proofpan.steps.nolists import withheld_plates
from proofpan.steps.sittings import lay_sitting
from proofpan.study.rounds import Order, PlateCode, Round
from proofpan.study.sittings import Sitting
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


def sitting_with_late_taster(study: Study, round_: Round, sitting: Sitting, taster: str, seed: int) -> Sitting:
    """Another ballot with sets for one more taster, asked the same of the same plates."""
    alone = study.model_copy(update={"brief": study.brief.model_copy(update={"tasters": tuple(t for t in study.brief.tasters if t.name == taster)})})
    before = sitting.of(sitting.tasters[0])
    used = round_.model_copy(update={"plates": tuple({p.code: _code(p.code, p.trial) for s in sitting.sets for p in s.plates}.values())})
    pairs = len({frozenset(p.trial for p in s.plates) for s in before})
    turns = 1 if sitting.by_plate or sitting.kind == "ranking" else max(1, len(before) // max(1, pairs))
    fresh = lay_sitting(alone, used, sitting.kind, trials=sitting.trials, turns=turns, control=sitting.control, seed=seed)
    return sitting.model_copy(update={"sets": (*sitting.sets, *fresh.sets)})


def _code(code: str, trial: int) -> PlateCode:
    return PlateCode(taster="", trial=trial, code=code)
