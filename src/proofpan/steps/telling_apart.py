"""What the trials can't tell apart: an option and the tray, load, day or lot it always went with."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from proofpan.steps.observing import cooked_of, day_of
from proofpan.study.rounds import PlannedTrial
from proofpan.study.study import Study
from proofpan.study.trials import Trial
from proofpan.study.versions import complete
from proofpan.study.wording import say
from proofpan.study.words import capital, joined, option_words


def what_cant_be_told(study: Study, planned: Sequence[PlannedTrial] = (), number: int = 0) -> list[str]:
    """A sentence for each option that can't be told from where, when or of what it was made."""
    from proofpan.science.versions import aliases

    cooked = cooked_of(study)
    trials: list[Trial] = [t for t in cooked.trials if not t.failed]
    trials += [
        Trial(round=number, trial=p.trial, version=p.version, load=p.load, tray=p.tray, place=p.place, lot=p.lot) for p in planned
    ]
    if len(trials) < 2:
        return []
    keys = [complete(study.brief, t.version) for t in trials]
    if any(k not in cooked.index for k in keys):
        return []
    loads = {k: i for i, k in enumerate(sorted({(t.round, t.load or 0) for t in trials}))}
    lots = {k: i for i, k in enumerate(sorted({t.lot for t in trials if t.lot}))}
    found = aliases(
        cooked.space,
        np.array([cooked.index[k] for k in keys]),
        load=np.array([loads[t.round, t.load or 0] for t in trials]),
        tray=np.array([-1 if t.tray is None else t.tray for t in trials]),
        lot=np.array([lots[t.lot] if t.lot else -1 for t in trials]),
        day=np.array([day_of(t) for t in trials]),
    )
    dropped = {f.name for f in study.brief.factors if f.dropped is not None}
    out = always_together(study, trials)
    by_day = {a.factor for a in found if a.what == "day"} if _a_load_a_day(trials) else set()
    told_of: dict[str, set[str]] = {}
    for alias in found:
        told_of.setdefault(alias.factor, set()).update(alias.options if alias.what in ("load", "day") else ())
    for alias in found:
        if alias.factor in dropped or alias.what == "load" and alias.factor in by_day:    # one load a day: they are one thing
            continue
        kept = {o.name for f in study.factors if f.name == alias.factor for o in f.kept}
        both = alias.what == "day" and alias.factor in by_day
        named = [o.name for f in study.factors if f.name == alias.factor for o in f.kept if o.name in told_of[alias.factor]] if both else alias.options
        open_ = [o for o in named if o in kept]
        if len(open_) < 2 and alias.what != "lot" or not open_:
            continue
        options = joined(open_)
        if alias.what == "lot":
            out.append(say("{factor}: each of {options} was made from one lot only, so this verdict speaks of this lot (this fruit, this bag), not of the "
                "kind: the two can't be told apart until another lot is cooked.",
                factor=alias.factor, options=options))
        elif alias.one in open_ and len(open_) > 2 and not both:
            others, where = joined(o for o in open_ if o != alias.one), {
                "day": say("the day it was made"), "tray": say("the tray (shelf) it was on"), "load": say("the load it was cooked in")}[alias.what]
            out.append(say("{factor}: {option} can't be told apart from {where}, so neither from {others}: a difference may be that, not the option; make it "
                           "once more elsewhere.", factor=alias.factor, option=alias.one, where=where, others=others))
        else:
            told = {
                "day": say("{factor}: {options} can't be told apart from the day they were made: a difference may be the day, not the option; spread them "
                           "over the days (A, B, B, A).", factor=alias.factor, options=options),
                "tray": say("{factor}: {options} can't be told apart from the tray (shelf) they were on: a difference may be the oven shelf, not the option; "
                            "swap the trays.", factor=alias.factor, options=options),
                "load": say("{factor}: {options} can't be told apart from the load they were cooked in: a difference may be the load, not the option; cook "
                            "each in two loads, over two rounds if need be.", factor=alias.factor, options=options),
            }
            out.append(told[alias.what])
    return out


def always_together(study: Study, trials: Sequence[Trial]) -> list[str]:
    """Things that were only ever changed together, so that a difference may be either's."""
    names = [f.name for f in study.factors if f.dropped is None]
    made = {n: [t.version.get(n, "") for t in trials] for n in names}
    varied = [n for n in names if len(set(made[n])) > 1]
    out, told = [], set[str]()
    for i, one in enumerate(varied):
        group = [one, *(o for o in varied[i + 1 :]
                        if len(set(zip(made[one], made[o], strict=True))) == len(set(made[one])) == len(set(made[o])))]
        if len(group) < 2 or one in told:
            continue
        told.update(group)
        pairs = list(dict.fromkeys(zip(*(made[n] for n in group), strict=True)))
        seen = joined((" with ".join(option_words(n, o) for n, o in zip(group, p, strict=True)) for p in pairs[:3]), "or")
        out.append(say("{factors} can't be told apart: they were only ever changed together ({seen}). Cook one without the other.",
                       factors=capital(joined(group)), seen=seen))
    return out


def _a_load_a_day(trials: Sequence[Trial]) -> bool:
    """Whether every day has one load and every load one day, so that to name both would be to say it twice."""
    pairs = {(day_of(t), (t.round, t.load or 0)) for t in trials}
    return len(pairs) == len({d for d, _ in pairs}) == len({load for _, load in pairs})
