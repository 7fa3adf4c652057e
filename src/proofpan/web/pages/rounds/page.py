"""The round to cook next, why, and "not that, because"; or the round that is planned."""

from __future__ import annotations

from dataclasses import dataclass

from proofpan.study.amending import ruled_out
from proofpan.study.rounds import PlannedTrial, Round
from proofpan.study.study import Study
from proofpan.study.words import capital, counted, of_a_point, version_words


@dataclass(frozen=True)
class TrialLine:
    """One trial of a round."""

    number: int
    words: str
    text: str
    place: str
    why: str
    state: str


@dataclass(frozen=True)
class LoadPart:
    """The trials of one oven load."""

    name: str
    trials: tuple[TrialLine, ...]


@dataclass(frozen=True)
class NeverLine:
    """What was ruled out, why, and as the study's file writes it."""

    words: str
    why: str
    text: str


def never_line(study: Study, version: dict[str, str]) -> NeverLine:
    """One version, or part of one, that shan't be made."""
    why = next((a.why for a in reversed(study.amendments) if a.what == ruled_out(version)), "")
    return NeverLine(version_words(version), why, "; ".join(f"{k}={v}" for k, v in version.items()))


@dataclass(frozen=True)
class RoundsPage:
    """The page; `state` is proposed, planned or none."""

    state: str
    headline: str
    under: str
    loads: tuple[LoadPart, ...]
    cautions: tuple[str, ...]
    seed: int
    number: int
    stop: str
    never: tuple[NeverLine, ...]
    done: tuple[str, ...]
    action: str
    next_href: str
    loads_asked: str
    passes_asked: str
    more: bool
    brief_href: str
    verdict_href: str
    tasted: bool


def place_words(trial: PlannedTrial) -> str:
    """`tray A, place 2`."""
    tray = f"tray {chr(64 + trial.tray)}" if trial.tray else ""
    place = f"place {trial.place}" if trial.place else ""
    return ", ".join(w for w in (tray, place) if w)


def rounds_page(
    study: Study, round_: Round, state: str, study_id: str, seed: int, asked: tuple[str, str], more: bool, stop: str = "",
) -> RoundsPage:
    """The page of a proposed or planned round; `stop`, why the verdict wouldn't cook on."""
    tasted = {b.trial for b in study.ballot_records}
    loads: dict[int, list[TrialLine]] = {}
    for t in round_.trials:
        found = study.trial(t.trial) if state == "planned" else None
        word = (
            ""
            if found is None
            else f"failed: {found.failed}"
            if found.failed
            else "tasted"
            if t.trial in tasted
            else "cooked"
            if found.recorded
            else ""
        )
        loads.setdefault(t.load or 1, []).append(
            TrialLine(t.trial, capital(version_words(t.version)), str(t.version), place_words(t), t.why, word)
        )
    count = len(round_.trials)
    these = "this one" if count == 1 else f"these {count}"
    headline = {
        "proposed": f"If you cook on: {these}." if stop else f"Cook {these} next.",
        "planned": f"Round {round_.number} is planned: {counted(count, 'trial')}.",
        "none": round_.cautions[0] if round_.cautions else "Nothing more to cook.",
    }[state]
    tasters, passes = len(study.tasters), max((p.pass_ for p in round_.plates), default=1)
    under = f"{counted(len(loads), 'load')}, {counted(tasters, 'taster')}, {counted(count * tasters * passes, 'ballot')}." if count else ""
    if state == "proposed" and round_.gain:
        under += f" Expected to be worth {of_a_point(round_.gain)} to what you publish."
    root = f"/study/{study_id}"
    return RoundsPage(
        state=state,
        headline=headline,
        under=under,
        loads=tuple(
            LoadPart(f"Load {n}" if len(loads) > 1 or study.brief.kitchen.ovens else "Plates", tuple(lines))
            for n, lines in sorted(loads.items())
        ),
        cautions=round_.cautions if state != "none" else round_.cautions[1:],
        seed=seed,
        number=round_.number,
        stop=stop,
        never=tuple(never_line(study, dict(line)) for line in study.brief.never),
        done=tuple(
            f"Round {r.number}: {counted(len(r.trials), 'trial')}, {'a tie-break, ' if r.kind == 'tie-break' else ''}"
            f"{sum(1 for t in r.trials if t.trial in tasted)} tasted"
            for r in study.rounds
            if state != "planned" or r.number != round_.number
        ),
        action=f"{root}/rounds",
        next_href=f"{root}/{'day' if study.brief.base is not None else 'cook'}",
        loads_asked=asked[0],
        passes_asked=asked[1],
        more=more,
        brief_href=f"{root}/brief",
        verdict_href=f"{root}/verdict",
        tasted=bool(tasted),
    )
