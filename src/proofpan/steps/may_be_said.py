"""How strongly a verdict may be said: plainly, with “probably”, or not at all."""

from __future__ import annotations

from typing import TYPE_CHECKING

from proofpan.steps.doing import pair_words
from proofpan.steps.palates import opposite_palates
from proofpan.study.verdict import AVERAGED, NOT_SETTLED, Answer, EffectRow
from proofpan.study.versions import Version
from proofpan.study.wording import say
from proofpan.study.words import capital, option_words, version_words

if TYPE_CHECKING:
    from proofpan.steps.judged import Judged

PROBABLY = 0.8


def nothing_allowed(judged: Judged) -> str:
    """What may be said where no answer allows anything."""
    if not len(judged.scores):
        return say("Nothing yet: no plate has been tasted.")
    if opposite_palates(judged):
        return say("“Our tasters pulled opposite ways on this; it is one of the two.”")
    if judged.speaks_for == "readers":
        return say("“We like this one; our tests couldn't separate it from the others for our tasters.”")
    return say("“We like this one; our tests couldn't separate it from the others for us.”")


def strengths(judged: Judged, answers: list[Answer], published: Version) -> tuple[list[str], list[str], list[str]]:
    """What may be said plainly, with “probably”, and not at all."""
    frame = say("In our tests") if judged.speaks_for == "readers" else say("To our palates")
    plainly, probably, never = [], [], []
    for a in answers:
        row = a.row
        likely, unlikely = _likelier_by_tasting(row)
        one = pair_words(row.option) if " × " in row.factor else option_words(row.factor, row.option)
        other = option_words(row.factor, row.against)
        if judged.never_tasted(row.factor, row.option, row.against):
            never.append(_not_to_be_said(a.asks, one, other))
        elif a.asks == "best" and row.at != AVERAGED and a.outcome != NOT_SETTLED:
            plainly.append(_only_with(a.outcome, frame, one, other, published, row.factor))
            never.append(_not_to_be_said(a.asks, one, other))      # with what else varies it is another answer
        elif a.outcome == "better":
            plainly.append(say("{frame} {one} beat {other}.", frame=frame, one=one, other=other))
        elif a.outcome == "no difference that matters":
            plainly.append(say("{frame} {one} and {other} were too close to matter.", frame=frame, one=one, other=other))
        elif a.outcome == "good enough":
            plainly.append(say("{frame} {one} was good enough in place of {other}.", frame=frame, one=one, other=other))
        elif a.outcome == "not good enough":
            plainly.append(say("{frame} {one} wasn't good enough in place of {other}.", frame=frame, one=one, other=other))
        elif a.outcome != NOT_SETTLED:
            plainly.append(f"{frame}, {a.headline[0].lower()}{a.headline[1:]}.")
        elif a.asks == "best" and row.odds_better >= PROBABLY and published.get(row.factor, row.option) != row.against:
            probably.append(_probably_better(one, other, "" if row.at == AVERAGED else _rest(published, row.factor)))
        elif a.asks == "worth it" and likely:
            probably.append(say("{one} is probably worth it.", one=capital(one)))
        elif a.asks == "worth it" and unlikely:
            probably.append(say("{one} probably isn't worth it.", one=capital(one)))
        elif a.asks == "good enough" and likely:
            probably.append(say("{one} is probably good enough in place of {other}.", one=capital(one), other=other))
        elif a.asks == "good enough" and unlikely:
            probably.append(say("{one} probably isn't good enough in place of {other}.", one=capital(one), other=other))
        else:
            never.append(_not_to_be_said(a.asks, one, other))
    if verdict_is_open(judged):
        never.append(say("“The best”"))
    return plainly, probably, never


def _likelier_by_tasting(row: EffectRow) -> tuple[bool, bool]:
    """Whether a yes, or a no, is probable and the tastings made it so: what was likely anyway isn't a test's to say."""
    yes = row.odds_over_worth
    before = yes if row.odds_over_worth_before is None else row.odds_over_worth_before
    return yes >= PROBABLY and yes >= before, yes <= 1 - PROBABLY and yes <= before


def _rest(published: Version, factor: str) -> str:
    return version_words({f: o for f, o in published.items() if f != factor})


def _probably_better(one: str, other: str, rest: str) -> str:
    if rest:
        return say("{one} is probably better than {other}, with {rest}.", one=capital(one), other=other, rest=rest)
    return say("{one} is probably better than {other}.", one=capital(one), other=other)


def _only_with(outcome: str, frame: str, one: str, other: str, published: Version, factor: str) -> str:
    """What holds with the rest of the version to publish, and not without it."""
    rest = _rest(published, factor)
    if outcome == "better":
        return say("{frame} {one} beat {other}, with {rest}.", frame=frame, one=one, other=other, rest=rest)
    return say("{frame} {one} and {other} were too close to matter, with {rest}.", frame=frame, one=one, other=other, rest=rest)


def _not_to_be_said(asks: str, one: str, other: str) -> str:
    if asks == "worth it":
        return say("“{one} is worth it”", one=capital(one))
    if asks == "good enough":
        return say("“{one} is as good as {other}”", one=capital(one), other=other)
    return say("“{one} is better than {other}”", one=capital(one), other=other)


def verdict_is_open(judged: Judged) -> bool:
    """Whether the version to publish isn't the best at the study's level of odds."""
    publish = judged.decision.publish
    return publish is None or float(judged.decision.odds_publish[publish]) < judged.study.brief.level
