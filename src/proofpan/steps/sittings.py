"""Another ballot laid for a round's plates: who gets which, in which order, under which codes, and what is asked."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from itertools import combinations
from typing import cast

from proofpan.steps.nolists import withheld_plates
from proofpan.study.errors import BallotError
from proofpan.study.rounds import PlannedTrial, Round
from proofpan.study.sittings import FORCED, KINDS, Ask, Kind, PlateSet, Served, Sitting, sitting_numbers
from proofpan.study.study import Study
from proofpan.study.words import capital, counted, joined

MOST_ASKS = 4
MOST_TURNS = 12
MOST_PAIRED = 5  # ten pairs a taster are as many as a palate takes
CODES_TO_GO_ROUND = 600
LIKING = ("dislike extremely", "dislike very much", "dislike moderately", "dislike slightly", "neither like nor dislike",
          "like slightly", "like moderately", "like very much", "like extremely")  # fmt: skip  # Peryam & Pilgrim 1957; from memory
JUST_RIGHT = ("much too little", "a little too little", "just right", "a little too much", "much too much")  # ASTM MNL63; from memory
FROM_CONTROL = ("no difference", "very slight", "slight", "moderate", "rather large", "large", "very large")  # Meilgaard et al.; from memory
METHODS: dict[str, str] = {"preference": "paired", "triangle": "triangle", "duo-trio": "duo-trio", "two out of five": "two-out-of-five"}
Draw = Callable[[str, int], tuple[str, ...]]


def lay_sitting(
    study: Study, round_: Round, kind: str, *, trials: Sequence[int] = (), asked: str = "", turns: int = 1, control: int | None = None,
    seed: int = 0, there: int | None = None,
) -> Sitting:
    """A sitting of a round's plates.

    Parameters: kind, one of `KINDS`; trials, which plates (none: all, or the first two versions); asked, for lines and just-right, what
        is asked, a line each: `crispness: soft, shatters`; turns, answers a taster for a forced choice; control, the trial that others
        are held against; seed, draws codes and orders; there, earlier sittings of this round (none: those that the study holds).

    Raises: BallotError, naming the field, for what can't be laid.
    """
    if kind not in KINDS:
        raise BallotError(f"There is no ballot “{kind[:30]}”: {joined(KINDS, 'or')}.", field="kind")
    if not 1 <= turns <= MOST_TURNS:
        raise BallotError(f"A taster answers 1 to {MOST_TURNS} times; {turns} is too many for a palate.", field="turns")
    chosen = _trials(study, round_, kind, trials)
    held = control if kind == "difference from control" else None
    if kind == "difference from control":
        held = held if held is not None else chosen[0].trial
        if held not in [t.trial for t in chosen]:
            raise BallotError("The control is one of the plates that are served, so that it also stands hidden among them.", field="control")
    withheld = withheld_plates(study, chosen)
    asks = asks_of(study, kind, asked)
    number = sitting_numbers(round_.number, len(_earlier(study, round_)) if there is None else there)
    draw = _drawer(study, round_, number, len(study.tasters), kind, len(chosen), turns, seed)
    if asks or kind == "ranking":
        sets = _plates(study.tasters, chosen, withheld, draw, held, seed, together=kind == "ranking")
    else:
        sets = _choices(study.tasters, chosen, withheld, draw, kind, turns, seed)
    left = [t for t in study.tasters if not any(s.taster == t for s in sets)]
    if not sets:
        raise BallotError("Nobody can have these plates: choose others.", field="trials")
    return Sitting(number=number, round=round_.number, kind=cast(Kind, kind), asks=asks, control=held, sets=sets, cautions=_cautions(left))


def _cautions(left: Sequence[str]) -> tuple[str, ...]:
    if not left:
        return ()
    verb, it = ("isn’t", "they don’t") if len(left) == 1 else ("aren’t", "they don’t")
    return (f"{joined(left)} {verb} asked: one of these plates holds what {it} eat.",)


def _earlier(study: Study, round_: Round) -> tuple[Sitting, ...]:
    return tuple(s for s in study.sittings if s.round == round_.number)


def _trials(study: Study, round_: Round, kind: str, wanted: Sequence[int]) -> tuple[PlannedTrial, ...]:
    failed = {t.trial for t in study.trial_records if t.failed}
    there = [t for t in round_.trials if t.trial not in failed]
    if unknown := [n for n in wanted if n not in [t.trial for t in there]]:
        raise BallotError(f"Trial {unknown[0]} isn't there to be tasted in this round.", field="trials")
    chosen = [t for t in there if t.trial in wanted] if wanted else there
    if kind in ("triangle", "duo-trio", "two out of five"):
        chosen = chosen if wanted else _two_versions(there)
        if len(chosen) != 2:
            raise BallotError(f"A {kind} is between two plates: choose two, not {len(chosen)}.", field="trials")
    elif kind == "preference" and not wanted:
        chosen = _two_versions(there)
    if len(chosen) < 2:
        raise BallotError("Choose two plates at least.", field="trials")
    if kind == "preference" and len(chosen) > MOST_PAIRED:
        raise BallotError(f"Pairs of {len(chosen)} plates are too many for a palate: choose at most {MOST_PAIRED}, or rank them.", field="trials")
    return tuple(chosen)


def _two_versions(there: Sequence[PlannedTrial]) -> list[PlannedTrial]:
    first = there[:1]
    return [*first, *[t for t in there if first and t.version != first[0].version][:1]]


def asks_of(study: Study, kind: str, asked: str = "") -> tuple[Ask, ...]:
    """What a ballot asks of one plate; nothing for sets that are compared."""
    liking = Ask(name="m0", says="How much do you like it?", low=1, high=9, steps=LIKING)
    if kind == "liking":
        return (liking,)
    if kind == "difference from control":
        return (Ask(name="m0", says="How different is it from the control?", low=0, high=6, steps=FROM_CONTROL),)
    if kind == "lines":
        return tuple(
            Ask(name=f"m{i}", says=f"{capital(name)}?", low=0, high=10, left=left or "least", right=right or "most")
            for i, (name, left, right) in enumerate(_things(study, asked, kind))
        )
    if kind == "just right":
        things = _things(study, asked, kind)
        # liking comes before the just-right questions, which would colour it
        return (liking, *(Ask(name=f"m{i}", says=f"{capital(n)}?", low=-2, high=2, steps=JUST_RIGHT) for i, (n, _, _) in enumerate(things, 1)))
    return ()


def _things(study: Study, asked: str, kind: str) -> list[tuple[str, str, str]]:
    """(name, left end, right end) of each line typed; else what the brief judges."""
    rows = [r.strip() for r in asked.splitlines() if r.strip()]
    if not rows:
        judged = [a for a in study.attributes if not a.measured][: MOST_ASKS - (kind == "just right")]
        return [(a.name, *((a.anchors[0], a.anchors[-1]) if len(a.anchors) > 1 else ("", ""))) for a in judged]
    most = MOST_ASKS - (kind == "just right")
    if len(rows) > most:
        raise BallotError(f"Ask at most {counted(most, 'thing')}: {len(rows)} are too many for one plate.", field="asked")
    out = []
    for row in rows:
        name, _, ends = row.partition(":")
        words = [w.strip() for w in re.split(r"[,–]| - ", ends) if w.strip()]
        if len(words) not in (0, 2):
            raise BallotError(f"“{row[:60]}” needs the words at both ends, such as crispness: soft, shatters.", field="asked")
        told = telling_word(study, row)
        if told:
            raise BallotError(f"“{row[:60]}” names what varies ({told}), so the ballot would tell: ask it in other words.", field="asked")
        out.append((name.strip()[:60], *((words[0][:40], words[1][:40]) if words else ("", ""))))
    return out


def telling_word(study: Study, text: str) -> str:
    """The option or thing that varies which a text names; empty when none."""
    names = [o.name for f in study.factors for o in f.options] + [f.name for f in study.factors]
    return next((n for n in names if not n.isdigit() and re.search(rf"(?<!\w){re.escape(n)}(?!\w)", text, re.I)), "")


def _drawer(study: Study, round_: Round, number: int, tasters: int, kind: str, plates: int, turns: int, seed: int) -> Draw:
    """Gives a taster's codes: unlike all others of the round while there are enough to go round, else unlike within the taster."""
    from proofpan.science.panels import three_digit_codes

    most = plates * (plates - 1) // 2 if kind == "preference" else 1
    each = FORCED.get(kind, plates) * (turns * most if kind in FORCED else 1)
    used = {p.code for p in round_.plates} | {p.code for s in _earlier(study, round_) if s.number != number for x in s.sets for p in x.plates}
    taken = used if len(used) + each * tasters <= CODES_TO_GO_ROUND else set()
    if each * tasters <= CODES_TO_GO_ROUND:
        codes = iter(three_digit_codes(each * tasters, seed=seed, taken=taken))
        return lambda taster, count: tuple(next(codes) for _ in range(count))
    own = {name: iter(three_digit_codes(each, seed=seed + 31 * i)) for i, name in enumerate(study.tasters)}
    return lambda taster, count: tuple(next(own[taster]) for _ in range(count))


def _plates(
    tasters: Sequence[str], chosen: Sequence[PlannedTrial], withheld: dict[tuple[str, int], str], draw: Draw, control: int | None, seed: int,
    *, together: bool,
) -> tuple[PlateSet, ...]:
    """Each plate once, in each taster's own balanced order; together as one set for a ranking."""
    from proofpan.science.panels import serving_orders

    orders = serving_orders(len(chosen), len(tasters), seed=seed + 1).orders
    out: list[PlateSet] = []
    for name, row in zip(tasters, orders, strict=True):
        mine = [chosen[int(i)].trial for i in row if (name, chosen[int(i)].trial) not in withheld]
        if len(mine) < 2 or (control is not None and control not in mine):
            continue
        served = tuple(Served(code=c, trial=t) for c, t in zip(draw(name, len(mine)), mine, strict=True))
        out += [PlateSet(taster=name, plates=served)] if together else [PlateSet(taster=name, plates=(p,)) for p in served]
    return tuple(out)


def _choices(
    tasters: Sequence[str], chosen: Sequence[PlannedTrial], withheld: dict[tuple[str, int], str], draw: Draw, kind: str, turns: int, seed: int
) -> tuple[PlateSet, ...]:
    """Forced choices, every order of the plates equally often over all answers."""
    import numpy as np

    from proofpan.science.panels import choice_sets

    out: list[PlateSet] = []
    pairs = list(combinations(chosen, 2))
    rng = np.random.default_rng(seed + 2)
    by_pair = []
    for n, pair in enumerate(pairs):
        who = [t for t in tasters if all((t, p.trial) not in withheld for p in pair)]
        drawn = iter(choice_sets(METHODS[kind], len(who) * turns, seed=seed + 3 + n))
        by_pair.append({t: [next(drawn) for _ in range(turns)] for t in who})
    for name in tasters:
        mine = [(pair, s) for pair, sets in zip(pairs, by_pair, strict=True) for s in sets.get(name, ())]
        for i in rng.permutation(len(mine)):
            pair, found = mine[int(i)]
            served = tuple(Served(code=c, trial=pair[t].trial) for c, t in zip(draw(name, len(found.plates)), found.plates, strict=True))
            right = () if kind == "preference" else tuple(sorted(served[p].code for p in found.answer))
            out.append(PlateSet(taster=name, plates=served, right=right, shown=served[0].code if kind == "duo-trio" else ""))
    return tuple(out)


HOW: dict[str, tuple[str, str]] = {
    "ranking": ("Put them in order, the best first", "Taste them all from left to right before you begin."),
    "preference": ("Which do you prefer?", "Taste the left one first."),
    "triangle": ("Which is the odd one out?", "Two are alike, one is different. Taste from left to right; if you can’t tell, guess."),
    "duo-trio": ("Which is like the first?", "Taste the first, then the other two. One is like the first; if you can’t tell, guess."),
    "two out of five": ("Which two are alike, unlike the other three?", "Two are of one kind, three of another. If you can’t tell, guess."),
    "difference from control": ("", "Taste the control first, then this plate. It may also be the control itself."),
}
"""What a set asks, and how it is tasted."""
