"""The codes that go under the plates, and how to lose track of them."""

from __future__ import annotations

from dataclasses import dataclass

from proofpan.steps.rounds import places_of
from proofpan.steps.tying_days import control_of, freezing
from proofpan.study.rounds import Round
from proofpan.study.study import Study
from proofpan.study.words import counted, times, version_words


@dataclass(frozen=True)
class UnderPlate:
    """One code and what it goes under."""

    code: str
    under: str


@dataclass(frozen=True)
class TasterCodes:
    """One taster's codes in the order of the plates, and the order in which they are served."""

    taster: str
    plates: tuple[UnderPlate, ...]
    order: tuple[str, ...]


@dataclass(frozen=True)
class CodesPage:
    """Codes and shuffling."""

    headline: str
    alone: bool
    sets: tuple[TasterCodes, ...]
    how: tuple[tuple[str, str], ...]
    tells: str
    cautions: tuple[str, ...]
    withheld: tuple[str, ...]
    taste_href: str
    taste: str
    again: bool
    made: str
    control: str
    controlled: bool
    slice: str
    plan_href: str


def codes_page(study: Study, round_: Round, turns: int, study_id: str, finished: bool, again: bool) -> CodesPage:
    """The page of the newest round."""
    alone = len(study.tasters) == 1
    planned = next((r for r in study.rounds if r.number == round_.number), round_)  # with the plates of makes that failed
    control, frozen = control_of(study), freezing(study)
    options = {t.trial: ", ".join(t.version.values()) for t in round_.trials}
    passes = 1 if alone else max((p.pass_ for p in round_.plates), default=1)
    sets = []
    for taster in study.tasters:
        for number in range(1, passes + 1):
            plates = tuple(UnderPlate(p.code, options[p.trial]) for p in round_.plates if p.pass_ == number and p.taster == taster)
            mine = {p.code for p in plates}
            order = tuple(c for c in round_.orders.get(taster, ()) if c in mine)
            name = taster if passes == 1 else f"{taster}, turn {number}"
            if plates:
                sets.append(TasterCodes(name, plates, order))
    count = len(round_.trials)
    return CodesPage(
        headline="These plates are tasted."
        if finished
        else "Write these under the plates. Then lose track of them."
        if alone
        else "Write these under the plates, out of the tasters’ sight.",
        alone=alone,
        sets=tuple(sets),
        how=() if finished else _how(alone, turns, count),
        tells=_tells(study, turns, round_, alone),
        cautions=round_.cautions,
        withheld=tuple(options[t.trial] for t in round_.trials if not any(p.trial == t.trial for p in planned.plates)),
        taste_href=f"/study/{study_id}/{'alone' if alone else 'tasting'}",
        taste="Read the verdict" if finished else "They’re shuffled; taste" if alone else "Open the tasting",
        again=again,
        made=_made(study, round_) if alone else "",
        control=version_words(control) if alone and again and control is not None else "",
        controlled=len(study.versions()) <= len(places_of(study)),
        slice=frozen.says if alone and (again or frozen.offered) else "",
        plan_href="" if study.brief.base is not None else f"/study/{study_id}/brief#notes",
    )


def _made(study: Study, round_: Round) -> str:
    """In which order they are made today, so that going first favours none: over days (A B, then B A), or within one where each is made twice (A B B A)."""
    from proofpan.science.panels import balanced_days

    versions = sorted({", ".join(t.version.values()) for t in round_.trials})
    makes = {sum(", ".join(t.version.values()) == v for t in round_.trials) for v in versions}
    if len(versions) < 2 or round_.number > DAYS or max(makes) > 2 or len(makes) > 1:
        return ""
    order = balanced_days(len(versions), DAYS, seed=0).orders[round_.number - 1]
    names = [f"“{versions[i]}”" for i in order]
    if makes == {2}:
        return f"If you make them fresh today, make them in this order: {', then '.join([*names, *reversed(names)])}. So each is made early and late alike."
    before = "" if round_.number == 1 else " Last time it was the other way round." if round_.number % 2 == 0 else ""
    return f"If you make them fresh today, make them in this order: {', then '.join(names)}.{before} Over two days each comes first as often as last."


DAYS = 12


def _how(alone: bool, turns: int, count: int) -> tuple[tuple[str, str], ...]:
    if not alone:
        return (
            (
                "Write each code on a slip, and put it by its plate.",
                "Each taster has codes of their own. Same plates, same amounts, same temperature.",
            ),
            ("One of you lays the plates and doesn’t taste.", "Or each shuffles for the other, eyes shut."),
            ("Serve each taster in the order given.", "The order differs from taster to taster, so that coming first favours no plate."),
            ("Rinse between plates. No talking until all have marked.", "Words first, then a mark."),
        )
    how = [
        (
            "Write each code on tape, and stick it underneath.",
            "Plates that look alike, with the same amount on each. If size or edge gives one away, break it up.",
        ),
        (
            "Turn your back, spin and swap them.",
            "Slide them round each other ten times with your eyes shut. A colleague may do it better; don’t let them tell.",
        ),
        (
            "Taste from left to right. Rinse. Mark each.",
            "Words first, then the line. A mark can’t be changed. If one looks different, dim the light or shut your eyes.",
        ),
        ("Only then lift the plate, and type its code.", "The plate tells us what you marked; your hands can’t."),
    ]
    if turns > 1:
        how.append((f"Shuffle again. {turns} turns in all.", f"{counted(count * turns, 'mark')}. Do them all, however the first ones go."))
    return tuple(how)


def _tells(study: Study, turns: int, round_: Round, alone: bool) -> str:
    who = "One palate" if alone else f"{counted(len(study.tasters), 'palate')}"
    versions = [", ".join(t.version.values()) for t in round_.trials]
    makes, options = min(versions.count(v) for v in versions), len(set(versions))
    made = f"{'one make' if makes == 1 else counted(makes, 'make')} of each"
    so_far = f"{who}, {made}, each plate tasted {times(turns)}: enough to lean on, seldom enough to settle."
    luck = f" One make of each can’t tell the option from the luck of the making; make {'both' if options == 2 else 'them'} again for that."
    return so_far + (luck if makes == 1 else "")
