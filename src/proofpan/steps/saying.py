"""The verdict in sentences: what to publish, each answer, whose palates, what isn't known, how strongly it may be said."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from proofpan.steps.caveats import cautions_of
from proofpan.steps.interacting import interactions_of
from proofpan.steps.limits import limit_words
from proofpan.steps.weighing import by_attribute, weight_words
from proofpan.study.ballots import OVERALL
from proofpan.study.brief import Brief
from proofpan.study.edits import Insert
from proofpan.study.verdict import AVERAGED, NOT_SETTLED, Answer, EffectRow, PublishToday, Verdict, VersionRow
from proofpan.study.versions import Version
from proofpan.study.words import (
    better_or_worse,
    capital,
    counted,
    gives_up,
    joined,
    odds,
    on_scale,
    option_words,
    points,
    signed_range,
    version_words,
)

if TYPE_CHECKING:
    from proofpan.science.versions import Posterior
    from proofpan.steps.judged import Judged

PROBABLY = 0.8
LEANS = 0.55
FEW_OPTIONS = 3
HOWEVER_MANY = 200


def with_words(judged: Judged, verdict: Verdict, fits: Mapping[str, Posterior]) -> Verdict:
    """The verdict with its sentences."""
    answers = answers_of(judged, verdict)
    interactions = interactions_of(judged)
    publish = publish_words(judged, verdict, answers)
    says = [publish.headline, publish.because]
    says += [f"{a.headline}{'' if a.headline.endswith('?') else '.'} {a.do} {a.numbers} {a.more}".strip() for a in answers]
    says += rest_words(judged, verdict, answers)
    says += [f"{i.headline}. {i.says}" for i in interactions]
    says += asked_words(verdict)
    weights = weight_words(judged, fits, verdict)
    says += weights
    limits = limit_words(judged)
    says += limits
    says.append(whose_palates(judged, verdict))
    return verdict.model_copy(update={
        "said": tuple(s for s in says if s), "cautions": tuple(cautions_of(judged)), "publish": publish, "answers": tuple(answers),
        "interactions": tuple(interactions), "limits": limits, "weights": weights,
    })


# ---------------------------------------------------------------------- answers
def answers_of(judged: Judged, verdict: Verdict) -> list[Answer]:
    """One answer a question; where a pair changes it, the one at the version to publish."""
    rows: dict[tuple[str, str, str], EffectRow] = {}
    for row in verdict.effect_rows:
        if row.attribute == OVERALL:
            rows[row.factor, *sorted((row.option, row.against))] = row   # type: ignore[index]
    kept = [row for row in rows.values() if _worth_a_sentence(judged.study.brief, row, verdict.publish.version)]
    found = [_answer(judged.study.brief, row, verdict.publish.version) for row in kept]
    return [a.model_copy(update={"more": f"{by_attribute(verdict.effect_rows, a.row)} {a.more}".strip()}) for a in found]


def _worth_a_sentence(brief: Brief, row: EffectRow, publish: Version) -> bool:
    """Of many options, the pairs that the version to publish is in, and any that is settled; the table has the rest."""
    factor = brief.factor(row.factor)
    if row.asks != "best" or factor is None or len(factor.kept) <= FEW_OPTIONS or factor.name not in publish:
        return True
    return row.settled or publish[factor.name] in (row.option, row.against)


def rest_words(judged: Judged, verdict: Verdict, answers: list[Answer]) -> list[str]:
    """How many pairs of many options got no sentence."""
    out = []
    for factor in judged.study.factors:
        pairs = {tuple(sorted((r.option, r.against))) for r in verdict.effect_rows
                 if r.attribute == OVERALL and r.factor == factor.name and r.asks == "best"}
        said = {tuple(sorted((a.row.option, a.row.against))) for a in answers if a.row.factor == factor.name and a.asks == "best"}
        if len(pairs) > len(said):
            out.append(f"{capital(factor.name)}: the other {counted(len(pairs - said), 'pair')} of options, none of them settled, "
                       f"{'stands' if len(pairs - said) == 1 else 'stand'} in the table.")
    return out


def _answer(brief: Brief, row: EffectRow, publish: Version) -> Answer:
    build = {"best": _best, "worth it": _worth_it, "good enough": _good_enough}[row.asks]
    return build(brief, row, publish)


def _at(row: EffectRow) -> str:
    return "" if row.at == AVERAGED else "in the version to publish"


def _more(row: EffectRow, leaning: str, odds_of_it: float) -> str:
    """Which way an open answer leans, and about how many more trials would settle it."""
    if row.settled:
        return ""
    lean = f"Leans to {leaning}, {odds(odds_of_it)}. " if odds_of_it >= LEANS else "It leans neither way. "
    return lean + needed_words(row.needed)


def needed_words(needed: int | None) -> str:
    """About how many more trials would settle it."""
    if needed is None or needed > HOWEVER_MANY:
        return "Settling it would take more trials than you'd cook."
    return f"About {counted(needed, 'more trial')} would settle it if it stays as it looks."


def _best(brief: Brief, row: EffectRow, publish: Version) -> Answer:
    one, other = option_words(row.factor, row.option), option_words(row.factor, row.against)
    numbers = f"{capital(better_or_worse(row.difference))} ({signed_range(row.low, row.high, row.worth)})."
    question = f"{row.factor}. Which is best?"
    if row.outcome == "better":
        return Answer(asks=row.asks, question=question, headline=f"{capital(one)} beats {other}", outcome=row.outcome,
                      do=f"Use {one}.", numbers=numbers, more=f"{capital(odds(row.odds_better))} that it is better.", row=row)
    if row.outcome == "no difference that matters":
        return Answer(asks=row.asks, question=question, headline=f"{capital(one)} or {other}: no difference that matters",
                      outcome=row.outcome, do="Use whichever is to hand.", numbers=numbers,
                      more=f"Settled that they are less than {points(row.worth)} apart.", row=row)
    leans, published = row.odds_better >= LEANS, publish.get(row.factor)
    if published not in (row.option, row.against):
        do = f"Of these two, {one} is the likelier." if leans else "Of these two, take either."
    elif not leans:
        do = f"If you publish today, use {one if published == row.option else other}: for all we know the other is as good."
    elif published == row.against:
        do = f"Taken alone {one} is the likelier; with the rest of the version to publish, use {other}."
    else:
        do = f"If you publish today, use {one}."
    return Answer(asks=row.asks, question=question, headline=f"{capital(one)} or {other}?", outcome=row.outcome, do=do,
                  numbers=f"{capital(one)} is likely {numbers[0].lower()}{numbers[1:]}" if row.difference else numbers,
                  more=f"Not settled. {_more(row, one, row.odds_better)}", row=row)


def _worth_it(brief: Brief, row: EffectRow, publish: Version) -> Answer:
    extra = option_words(row.factor, row.option)
    where = _at(row)
    likely = (f"likely earns {points(row.difference)}" if row.difference > 0.049
              else "likely earns 0.0" if row.difference > -0.05 else f"likely costs {points(row.difference)}")
    numbers = f"Must earn {points(row.price)}; {likely} ({signed_range(row.low, row.high, row.price)})."
    question = f"{capital(extra)}{', ' + where if where else ''}. Worth it?"
    extra = f"{extra} {where}" if where else extra
    pays = row.odds_over_worth
    if row.outcome == "worth it":
        return Answer(asks=row.asks, question=question, headline=f"{capital(extra)} is worth it", outcome=row.outcome,
                      do="Put it in.", numbers=numbers, more=f"{capital(odds(pays))} that it earns its place.", row=row)
    saved = _saved(brief, row)
    if row.outcome == "not worth it":
        return Answer(asks=row.asks, question=question, headline=f"{capital(extra)} isn't worth it", outcome=row.outcome,
                      do="Leave it out.", numbers=numbers,
                      more=f"{capital(odds(1 - pays))} that it earns less than it must.{saved}", row=row)
    put_in = row.difference > row.price
    do = "If you publish today, put it in." if put_in else f"If you publish today, leave it out.{saved}"
    lean, of_it = ("yes", pays) if pays >= 0.5 else ("no", 1 - pays)
    return Answer(asks=row.asks, question=question, headline=f"{capital(extra)}?", outcome=row.outcome, do=do, numbers=numbers,
                  more=f"Not settled. {_more(row, lean, of_it)}", row=row)


def _saved(brief: Brief, row: EffectRow) -> str:
    """Minutes that leaving an extra out saves, where its edits say."""
    factor = brief.factor(row.factor)
    option = factor.option(row.option) if factor is not None else None
    if option is None:
        return ""
    minutes = sum(e.insert.expected_minutes or 0 for e in option.edits if isinstance(e, Insert))
    return f" Saves {counted(round(minutes), 'minute')}." if minutes else ""


def _good_enough(brief: Brief, row: EffectRow, publish: Version) -> Answer:
    swap, plain = option_words(row.factor, row.option), option_words(row.factor, row.against)
    likely = f"likely loses {points(row.difference)}" if row.difference < 0 else f"likely gains {points(row.difference)}"
    numbers = f"May lose {points(row.worth)}; {likely} ({signed_range(row.low, row.high, row.worth)})."
    question = f"{capital(swap)} in place of {plain}. Good enough?"
    passes = row.odds_over_worth
    if row.outcome == "good enough":
        return Answer(asks=row.asks, question=question, headline=f"{capital(swap)} is good enough", outcome=row.outcome,
                      do=f"Offer {swap} as a swap for {plain}.", numbers=numbers,
                      more=f"{capital(odds(passes))} that it loses less than {points(row.worth)}.", row=row)
    if row.outcome == "not good enough":
        return Answer(asks=row.asks, question=question, headline=f"{capital(swap)} isn't good enough", outcome=row.outcome,
                      do=f"Don't offer it in place of {plain}.", numbers=numbers,
                      more=f"{capital(odds(1 - passes))} that it loses more than {points(row.worth)}.", row=row)
    lean, of_it = ("yes", passes) if passes >= 0.5 else ("no", 1 - passes)
    return Answer(asks=row.asks, question=question, headline=f"{capital(swap)}, in a pinch?", outcome=row.outcome,
                  do=(f"If you publish today, call {swap} a swap for {plain}, not an equal." if publish.get(row.factor) != row.option
                      else f"It stands in the version to publish; don't call it the equal of {plain}."), numbers=numbers,
                  more=f"Not settled. {_more(row, lean, of_it)}", row=row)


# ---------------------------------------------------------------------- publish today
def publish_words(judged: Judged, verdict: Verdict, answers: list[Answer]) -> PublishToday:
    """The version to publish, why, and what may be said of it."""
    publish = verdict.publish
    row = next(r for r in verdict.rows if r.version == publish.version)
    headline = f"If you publish today: {version_words(publish.version)}."
    if judged.decision.publish is None:
        headline = f"Nothing may be printed yet. Likeliest if it could be: {version_words(publish.version)}."
    top = "10" if verdict.scale == (0.0, 10.0) else f"{verdict.scale[1]:g}"
    settled = sum(a.outcome != NOT_SETTLED for a in answers)
    open_ = len(answers) - settled
    if not verdict.ballots:
        because = _untasted(judged, counted(len(verdict.rows), "version"))
    else:
        tasters = len({b.taster for b in judged.points.ballots})
        likely, between = on_scale(row.score, row.low, row.high, verdict.scale).split(" (")
        because = (
            f"Likely {likely} of {top} ({between}, after {counted(verdict.trials, 'trial')} and "
            f"{counted(tasters, 'taster')}. {_how_good(judged, verdict, row)} {_settled_words(settled, open_)}"
        )
    plainly, probably, never = strengths(judged, answers, publish.version)
    return publish.model_copy(update={
        "headline": headline, "because": because, "says": (*plainly, *probably) or (_nothing_allowed(judged),),
        "dont_say": tuple(never), "simplest_says": _simplest_words(verdict, publish),
    })


def _untasted(judged: Judged, versions: str) -> str:
    if judged.cooked.trials and all(t.failed for t in judged.cooked.trials):
        return f"Every make failed, so no mark speaks for any of {versions}."
    return f"Nothing is tasted yet, so every one of {versions} is about as likely: this is the recipe as near as written."


def _how_good(judged: Judged, verdict: Verdict, row: VersionRow) -> str:
    """The odds that it is the best of those that may be printed, and what publishing it now gives up."""
    ours = sum(not r.benchmark for r in verdict.rows)
    may = int(judged.publishable[: judged.cooked.candidates].sum())
    cost = f"publishing it now gives up {gives_up(verdict.publish.regret)} on average."
    if may == ours:
        return f"Of {counted(ours, 'version')}, once extras are paid for, it is the best to print {odds(row.odds_publish or 0)}; {cost}"
    rest = "the other failed when last made or breaks a limit" if ours - may == 1 else "the others failed when last made or break a limit"
    if may == 1:
        return f"Of {counted(ours, 'version')} it is the only one that may be printed: {rest}."
    return (f"Of the {may} of {counted(ours, 'version')} that may be printed ({rest}), once extras are paid for, it is the best "
            f"{odds(row.odds_publish or 0)}; {cost}")


def _settled_words(settled: int, open_: int) -> str:
    if not settled:
        return "No question is settled." if open_ != 1 else "The question isn't settled."
    if not open_:
        return "Every question is settled." if settled > 1 else "The question is settled."
    verb = "is" if settled == 1 else "are"
    return f"{counted(settled, 'question')} {verb} settled and {open_} {'is' if open_ == 1 else 'are'} not."


def _simplest_words(verdict: Verdict, publish: PublishToday) -> str:
    if publish.simplest == publish.version:
        return "It is also the simplest version as good as the best."
    simple = next(r for r in verdict.rows if r.version == publish.simplest)
    best = next(r for r in verdict.rows if r.version == publish.version)
    gap, saved = best.score - simple.score, best.price - simple.price
    extras = f"and it costs {saved:.1f} less in extras" if saved >= 0.05 else "with fewer changes to the recipe as written"
    return f"Simplest as good as the best: {version_words(publish.simplest)}; likely {better_or_worse(-gap)}, {extras}."


def _nothing_allowed(judged: Judged) -> str:
    who = "our tasters" if judged.speaks_for == "readers" else "us"
    return f"“We like this one; our tests couldn't separate it from the others for {who}.”"


def strengths(judged: Judged, answers: list[Answer], published: Version) -> tuple[list[str], list[str], list[str]]:
    """What may be said plainly, with “probably”, and not at all."""
    frame = "In our tests" if judged.speaks_for == "readers" else "To our palates"
    plainly, probably, never = [], [], []
    for a in answers:
        row, one = a.row, option_words(a.row.factor, a.row.option)
        other = option_words(row.factor, row.against)
        if a.outcome == "better":
            plainly.append(f"{frame} {one} beat {other}.")
        elif a.outcome == "no difference that matters":
            plainly.append(f"{frame} {one} and {other} were too close to matter.")
        elif a.outcome != NOT_SETTLED:
            plainly.append(f"{frame}, {a.headline[0].lower()}{a.headline[1:]}.")
        elif a.asks == "best" and row.odds_better >= PROBABLY and published.get(row.factor, row.option) != row.against:
            probably.append(f"{capital(one)} is probably better than {other}.")
        elif a.asks == "worth it" and row.odds_over_worth >= PROBABLY:
            probably.append(f"{capital(one)} is probably worth it.")
        elif a.asks == "worth it" and row.odds_over_worth <= 1 - PROBABLY:
            probably.append(f"{capital(one)} probably isn't worth it.")
        elif a.asks == "good enough" and row.odds_over_worth >= PROBABLY:
            probably.append(f"{capital(one)} is probably good enough in place of {other}.")
        else:
            never.append(f"“{capital(one)} is better than {other}”")
    if verdict_is_open(judged):
        never.append("“The best”")
    return plainly, probably, never


def verdict_is_open(judged: Judged) -> bool:
    """Whether the version to publish isn't the best at the study's level of odds."""
    publish = judged.decision.publish
    return publish is None or float(judged.decision.odds_publish[publish]) < judged.study.brief.level


def whose_palates(judged: Judged, verdict: Verdict) -> str:
    """Whose palates the verdict speaks for."""
    speakers = list(dict.fromkeys(b.taster for b in judged.points.ballots))
    if not speakers:
        return ""
    if all(a.measured for a in judged.study.attributes):
        return f"It speaks for {counted(verdict.trials, 'make')}, measured; no palate is in it."
    if len(speakers) == 1:
        return f"By your palate: it speaks for one taster, {speakers[0]}, and for nobody else yet."
    if judged.speaks_for == "readers":
        return f"It speaks for readers, as far as {counted(len(speakers), 'palate')} can stand for theirs."
    return f"It speaks for {joined(speakers)}: {counted(len(speakers), 'palate')}, not your readers'."


def asked_words(verdict: Verdict) -> list[str]:
    """Where “which would you serve?” and the weighted score disagree."""
    weighted = {(r.factor, r.option, r.against): r for r in verdict.effect_rows if r.attribute == OVERALL and r.at == AVERAGED}
    out = []
    for row in verdict.effect_rows:
        if row.attribute != "overall, asked" or row.at != AVERAGED:
            continue
        same = weighted.get((row.factor, row.option, row.against))
        other = weighted.get((row.factor, row.against, row.option))
        lean = same.odds_better if same else 1 - other.odds_better if other else 0.5
        if min(lean, row.odds_better) < 0.2 and max(lean, row.odds_better) > 0.8:
            out.append(f"Asked which they would serve, tasters lean the other way on {row.factor} than the weighted marks do: "
                       "look at the weights of what you judge.")
    return out
