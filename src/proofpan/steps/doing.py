"""What to do with an answer: use it, leave it, or why the version to publish does otherwise."""

from __future__ import annotations

from collections.abc import Mapping

from proofpan.study.brief import Brief
from proofpan.study.edits import Insert
from proofpan.study.verdict import EffectRow
from proofpan.study.versions import Version
from proofpan.study.wording import say
from proofpan.study.words import counted, joined

KeptOut = Mapping[tuple[str, str], str]      # (factor, option) → why no version with it may be printed


def use_better(brief: Brief, row: EffectRow, publish: Version, one: str, other: str, kept_out: KeptOut) -> str:
    """What to do with an option that beats another: a limit, a failed make or the rest of the version may keep it out."""
    if bought(brief, row) == row.option:
        return say("It was bought to measure against: {other} isn't up to it.", other=other)
    if (why := kept_out.get((row.factor, row.option))) is not None:
        return say("By itself use {one}, but not yet in print: {why}.", one=one, why=why)
    if publish.get(row.factor) == row.against:
        return say("It is better by itself; the version to publish has {other}.", other=other)
    if row.factor in publish and publish[row.factor] != row.option:
        return say("Of these two, use {one}.", one=one)
    return say("Use {one}.", one=one)


def not_offered() -> str:
    """What to do with a substitute that no version within the limits may have."""
    return say("It breaks a limit of the brief in every version, so it isn't offered.")


def offer_swap(row: EffectRow, publish: Version, swap: str, plain: str) -> str:
    """What to do with a substitute that is good enough; it may be what is printed."""
    if publish.get(row.factor) == row.option:
        return say("It stands in the version to publish; {plain} may take its place.", plain=plain)
    return say("Offer {swap} as a swap for {plain}.", swap=swap, plain=plain)


def swap_today(row: EffectRow, publish: Version, swap: str, plain: str) -> str:
    """What to do today with a substitute that isn't settled."""
    if publish.get(row.factor) == row.option:
        return say("It stands in the version to publish; don't call it the equal of {plain}.", plain=plain)
    if row.odds_over_worth < 0.5:
        return say("If you publish today, don't offer {swap} in place of {plain}.", swap=swap, plain=plain)
    return say("If you publish today, call {swap} a swap for {plain}, not an equal.", swap=swap, plain=plain)


def bought(brief: Brief, row: EffectRow) -> str | None:
    """The option of a pair that is bought to measure against."""
    factor = brief.factor(row.factor)
    options = [] if factor is None else [factor.option(o) for o in (row.option, row.against)]
    return next((o.name for o in options if o is not None and o.benchmark), None)


def pair_words(options: str) -> str:
    """A named pair of options in words: `tangzhong with margarine`."""
    return say("{options} together", options=joined(options.split(", ")))


def stands_off(row: EffectRow, publish: Version) -> bool:
    """Whether the version to publish does without an extra, or without one of a named pair."""
    if " × " in row.factor:
        return any(publish.get(f) != o for f, o in zip(row.factor.split(" × "), row.option.split(", "), strict=False))
    return publish.get(row.factor) == row.against


def kept_off() -> str:
    """That an extra pays and the version to publish does without it."""
    return say("It would pay by itself; the version to publish does without it.")


def saved(brief: Brief, row: EffectRow) -> str:
    """Minutes that leaving an extra out saves, where its edits say."""
    factor = brief.factor(row.factor)
    option = factor.option(row.option) if factor is not None else None
    if option is None:
        return ""
    minutes = sum(e.insert.expected_minutes or 0 for e in option.edits if isinstance(e, Insert))
    return f" {say('Saves {minutes}.', minutes=counted(round(minutes), 'minute'))}" if minutes else ""
