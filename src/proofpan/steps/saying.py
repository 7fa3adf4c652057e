"""The verdict in sentences: what to publish, each answer, whose palates, what isn't known, how strongly it may be said."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from proofpan.steps.attribute_weights import by_attribute, weight_words
from proofpan.steps.caveats import blindness, cautions_of
from proofpan.steps.doing import KeptOut, bought, kept_off, not_offered, offer_swap, pair_words, saved, stands_off, swap_today, use_better
from proofpan.steps.elsewhere import other_kitchens_words
from proofpan.steps.interacting import interactions_of
from proofpan.steps.leaning import LEANS, before_tasting, lean_words, not_settled, with_before, yes_or_no
from proofpan.steps.limits import limit_words
from proofpan.steps.may_be_said import nothing_allowed, strengths
from proofpan.study.ballots import OVERALL
from proofpan.study.brief import Brief
from proofpan.study.verdict import AVERAGED, NOT_SETTLED, Answer, EffectRow, PublishToday, Verdict, VersionRow
from proofpan.study.versions import Version
from proofpan.study.wording import say, say_counted
from proofpan.study.words import (
    bar,
    better_or_worse,
    capital,
    counted,
    joined,
    odds,
    of_a_point,
    option_words,
    points,
    signed_range,
    version_words,
    within,
)

if TYPE_CHECKING:
    from proofpan.science.versions import Posterior
    from proofpan.steps.judged import Judged

FEW_OPTIONS = 3


def with_words(judged: Judged, verdict: Verdict, fits: Mapping[str, Posterior]) -> Verdict:
    """The verdict with its sentences."""
    answers = answers_of(judged, verdict)
    interactions = interactions_of(judged)
    publish = publish_words(judged, verdict, answers)
    says = [publish.headline, publish.because]
    says += [" ".join(x for x in (f"{a.headline}{'' if a.headline.endswith('?') else '.'}", a.do, a.numbers, a.more) if x) for a in answers]
    says += rest_words(judged, verdict, answers)
    says += [f"{i.headline}. {i.says}" for i in interactions]
    says += asked_words(verdict)
    weights = weight_words(judged, fits, verdict)
    says += weights
    limits = limit_words(judged)
    says += limits
    whose = whose_palates(judged, verdict)
    says.append(whose)
    return verdict.model_copy(update={
        "said": tuple(s for s in says if s), "cautions": tuple(cautions_of(judged)), "publish": publish, "answers": tuple(answers),
        "interactions": tuple(interactions), "limits": limits, "weights": weights,
        "whose": whose, "not_blind": tuple(blindness(judged.study)),
        "other_kitchens": tuple(other_kitchens_words(judged.study)),
    })


# ---------------------------------------------------------------------- answers
def answers_of(judged: Judged, verdict: Verdict) -> list[Answer]:
    """One answer a question; where a pair changes it, the one at the version to publish."""
    rows: dict[tuple[str, str, str], EffectRow] = {}
    for row in verdict.effect_rows:
        if row.attribute == OVERALL:
            rows[row.factor, *sorted((row.option, row.against))] = row   # type: ignore[index]
    kept = [row for row in rows.values() if _worth_a_sentence(judged.study.brief, row, verdict.publish.version)]
    kept_out = _kept_out_of_print(judged)
    found = [_answer(judged.study.brief, row, verdict.publish.version, kept_out) for row in kept]
    found = [a.model_copy(update={"do": not_offered()}) if a.asks == "good enough" and _outside_everywhere(judged, a.row) else a for a in found]
    if not len(judged.scores):   # a range and a lean would be what is expected of kitchens in general, not of this one
        return [a.model_copy(update={"numbers": "", "more": say("Not settled: nothing is tasted yet."), "lean": ""}) for a in found]
    attributes = judged.study.attributes
    found = [_of_the_untasted(judged, a) for a in found]
    return [a.model_copy(update={"more": f"{by_attribute(attributes, verdict.effect_rows, a.row)} {a.more}".strip()}) for a in found]


def _of_the_untasted(judged: Judged, answer: Answer) -> Answer:
    """An answer about an option that nobody tasted says so: its numbers are what is usual."""
    row = answer.row
    never = [option_words(f, o) for f, o in judged.never_tasted(row.factor, row.option, row.against)]
    if not never:
        return answer
    return answer.model_copy(update={"more": " ".join((
        say("Not settled: nobody has tasted {options} yet.", options=joined(never, "or")), answer.lean)).strip()})


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
            out.append(say_counted(
                len(pairs - said), "{factor}: the other {number} pair of options, not settled, stands in the table.",
                "{factor}: the other {number} pairs of options, none of them settled, stand in the table.", factor=capital(factor.name)))
    return out


def _answer(brief: Brief, row: EffectRow, publish: Version, kept_out: KeptOut) -> Answer:
    if row.asks == "best":
        return _best(brief, row, publish, kept_out)
    return (_worth_it if row.asks == "worth it" else _good_enough)(brief, row, publish)


def _outside_everywhere(judged: Judged, row: EffectRow) -> bool:
    """Whether every version with an option breaks a limit of the brief."""
    of_it = [judged.outside[i] for i, v in enumerate(judged.cooked.versions[: judged.cooked.candidates]) if v.get(row.factor) == row.option]
    return bool(of_it) and all(o is not None for o in of_it)


def _kept_out_of_print(judged: Judged) -> KeptOut:
    """Options that no version to be printed may have, where their versions all failed when last made."""
    out = {}
    versions = judged.cooked.versions[: judged.cooked.candidates]
    for factor in judged.study.factors:
        for option in factor.kept:
            of_it = [i for i, v in enumerate(versions) if v.get(factor.name) == option.name and judged.cooked.eligible[i] and judged.outside[i] is None]
            if of_it and not any(judged.publishable[i] for i in of_it):
                out[factor.name, option.name] = say("it failed when last made, so it is made again first")
    return out


def _at(row: EffectRow) -> str:
    return "" if row.at == AVERAGED else say("in the version to publish")


def _best(brief: Brief, row: EffectRow, publish: Version, kept_out: KeptOut) -> Answer:
    one, other = option_words(row.factor, row.option), option_words(row.factor, row.against)
    likely = say("no different") if points(row.difference) == points(0.0) else better_or_worse(row.difference)
    numbers = f"{capital(likely)} ({signed_range(row.low, row.high, row.worth)})."
    question = say("{factor}. Which is best?", factor=row.factor)
    if row.outcome == "better":
        return Answer(asks=row.asks, question=question, headline=" ".join((
            say("{one} beats {other}", one=capital(one), other=other), _at(row))).rstrip(),
                      outcome=row.outcome,
                      do=use_better(brief, row, publish, one, other, kept_out), numbers=numbers,
                      more=say("{odds} that it is better.", odds=capital(odds(row.odds_better))), row=row)
    if row.outcome == "no difference that matters":
        return Answer(asks=row.asks, question=question, headline=" ".join((
            say("{one} or {other}: no difference that matters", one=capital(one), other=other), _at(row))).rstrip(),
                      outcome=row.outcome, do=say("Use whichever is to hand."), numbers=numbers,
                      more=say("Settled that they are less than {worth} apart.", worth=bar(row.worth, row.low, row.high)), row=row)
    leans, published = row.odds_better >= LEANS, publish.get(row.factor)
    if bought(brief, row) is not None:
        do = say("{bought} was bought to measure against and is never printed.", bought=capital(one if bought(brief, row) == row.option else other))
    elif published not in (row.option, row.against):
        do = say("Of these two, {one} is the likelier.", one=one) if leans else say("Of these two, take either.")
    elif not leans:
        do = say("If you publish today, use {one}: for all we know the other is as good.", one=one if published == row.option else other)
    elif (why := kept_out.get((row.factor, row.option))) is not None:
        do = say("Taken alone {one} is the likelier, but not yet in print: {why}.", one=one, why=why)
    elif published == row.against:
        do = say("Taken alone {one} is the likelier; with the rest of the version to publish, use {other}.", one=one, other=other)
    else:
        do = say("If you publish today, use {one}.", one=one)
    lean = lean_words(one, row.odds_better, brief.level)
    return Answer(asks=row.asks, question=question, headline=say("{one} or {other}?", one=capital(one), other=other), outcome=row.outcome, do=do,
                  numbers=say("{one} is likely {numbers}", one=capital(one), numbers=numbers[0].lower() + numbers[1:]) if row.difference else numbers,
                  more=not_settled(row, lean), lean=lean, row=row)


def _worth_it(brief: Brief, row: EffectRow, publish: Version) -> Answer:
    extra = pair_words(row.option) if " × " in row.factor else option_words(row.factor, row.option)
    where = _at(row)
    size = points(row.difference if abs(row.difference) > 0.049 else 0.0)
    likely = say("likely earns {size}", size=size) if row.difference > -0.05 else say("likely costs {size}", size=size)
    numbers = say("Must earn {price}; {likely} ({range}).", price=bar(row.price, row.low, row.high), likely=likely,
                  range=signed_range(row.low, row.high, row.price))
    question = say("{extra}. Worth it?", extra=f"{capital(extra)}, {where}" if where else capital(extra))
    extra = f"{extra} {where}" if where else extra
    pays, before, doubted = row.odds_over_worth, *before_tasting(row)
    if row.outcome == "worth it":
        return Answer(asks=row.asks, question=question, headline=say("{extra} is worth it", extra=capital(extra)), outcome=row.outcome,
                      do=kept_off() if stands_off(row, publish) else say("Put it in."),
                      numbers=numbers, more=say("{odds} that it earns its place.", odds=capital(with_before(odds(pays), before))), row=row)
    minutes_saved = saved(brief, row)
    if row.outcome == "not worth it":
        return Answer(asks=row.asks, question=question, headline=say("{extra} isn't worth it", extra=capital(extra)), outcome=row.outcome,
                      do=say("Leave it out."), numbers=numbers,
                      more=say("{odds} that it earns less than it must.", odds=capital(with_before(odds(1 - pays), doubted))) + minutes_saved, row=row)
    put_in = row.difference > row.price
    do = say("If you publish today, put it in.") if put_in else say("If you publish today, leave it out.") + minutes_saved
    if put_in and stands_off(row, publish):      # a limit or a failed make keeps it out, or the rest of that version does
        do = kept_off()
    lean = yes_or_no(row)
    return Answer(asks=row.asks, question=question, headline=f"{capital(extra)}?", outcome=row.outcome, do=do, numbers=numbers,
                  more=not_settled(row, lean), lean=lean, row=row)


def _good_enough(brief: Brief, row: EffectRow, publish: Version) -> Answer:
    swap, plain = option_words(row.factor, row.option), option_words(row.factor, row.against)
    size = points(row.difference)
    likely = (say("likely no different") if size == points(0.0) else say("likely loses {size}", size=size) if row.difference < 0
              else say("likely gains {size}", size=size))
    numbers = say("May lose {worth}; {likely} ({range}).", worth=bar(row.worth, row.low, row.high), likely=likely,
                  range=signed_range(row.low, row.high, row.worth))
    question = say("{swap} in place of {plain}. Good enough?", swap=capital(swap), plain=plain)
    passes, before, doubted = row.odds_over_worth, *before_tasting(row)
    if row.outcome == "good enough":
        return Answer(asks=row.asks, question=question, headline=say("{swap} is good enough", swap=capital(swap)), outcome=row.outcome,
                      do=offer_swap(row, publish, swap, plain), numbers=numbers,
                      more=say("{odds} that it loses less than {worth}.", odds=capital(with_before(odds(passes), before)),
                               worth=bar(row.worth, row.low, row.high)), row=row)
    if row.outcome == "not good enough":
        return Answer(asks=row.asks, question=question, headline=say("{swap} isn't good enough", swap=capital(swap)), outcome=row.outcome,
                      do=say("Don't offer it in place of {plain}.", plain=plain), numbers=numbers,
                      more=say("{odds} that it loses more than {worth}.", odds=capital(with_before(odds(1 - passes), doubted)),
                               worth=bar(row.worth, row.low, row.high)), row=row)
    lean = yes_or_no(row)
    return Answer(asks=row.asks, question=question, headline=say("{swap}, in a pinch?", swap=capital(swap)), outcome=row.outcome,
                  do=swap_today(row, publish, swap, plain),
                  numbers=numbers,
                  more=not_settled(row, lean), lean=lean, row=row)


# ---------------------------------------------------------------------- publish today
def publish_words(judged: Judged, verdict: Verdict, answers: list[Answer]) -> PublishToday:
    """The version to publish, why, and what may be said of it."""
    publish = verdict.publish
    row = next(r for r in verdict.rows if r.version == publish.version)
    headline = say("If you publish today: {version}.", version=version_words(publish.version))
    if judged.decision.publish is None:
        headline = say("Nothing may be printed yet. Likeliest if it could be: {version}.", version=version_words(publish.version))
    top = "10" if verdict.scale == (0.0, 10.0) else f"{verdict.scale[1]:g}"
    settled = sum(a.outcome != NOT_SETTLED for a in answers)
    open_ = len(answers) - settled
    if not verdict.ballots:
        because = _untasted(judged, counted(len(verdict.rows), "version"))
    else:
        tasters = len({b.taster for b in judged.points.ballots})
        score, low, high = within((row.score, row.low, row.high), verdict.scale)
        after = {"trials": counted(verdict.trials, "trial"), "tasters": counted(tasters, "taster")}
        likely = say("Ranked, not marked, in {trials} by {tasters}: how far apart they are is known, not how good.", **after) if _only_ranked(judged) else say(
            "Likely {score:.1f} of {top} ({low:.1f} to {high:.1f}), after {trials} and {tasters}.", score=score, top=top, low=low, high=high, **after)
        uncooked = "" if row.cooked else say("It hasn't been cooked yet: cook it once before you print it.")
        because = " ".join(x for x in (likely, uncooked, _how_good(judged, verdict, row), _settled_words(settled, open_)) if x)
    plainly, probably, never = strengths(judged, answers, publish.version)
    return publish.model_copy(update={
        "headline": headline, "because": because, "says": (*plainly, *probably) or (nothing_allowed(judged),),
        "dont_say": tuple(never), "simplest_says": _simplest_words(verdict, publish),
    })


def _only_ranked(judged: Judged) -> bool:
    return bool(judged.points.ballots) and all(b.score is None for b in judged.points.ballots)


def _untasted(judged: Judged, versions: str) -> str:
    if judged.cooked.trials and all(t.failed for t in judged.cooked.trials):
        return say("Every make failed, so no mark speaks for any of {versions}.", versions=versions)
    if len(judged.study.versions()) == 1:
        return say("Nothing is tasted yet, and there is one version to print.")
    return say("Nothing is tasted yet, so every one of {versions} is about as likely: this is the recipe as near as written.", versions=versions)


def _how_good(judged: Judged, verdict: Verdict, row: VersionRow) -> str:
    """The odds that it is the best of those that may be printed, and what publishing it now gives up."""
    ours = sum(not r.benchmark for r in verdict.rows)
    may = int(judged.publishable[: judged.cooked.candidates].sum())
    cost = say("publishing it now gives up {size} on average.", size=of_a_point(verdict.publish.regret))
    paid = bool(judged.prices.any())
    if may == ours and paid:
        return say("Of {versions}, once extras are paid for, it is the best to print {odds}; {cost}",
            versions=counted(ours, "version"), odds=odds(row.odds_publish or 0), cost=cost)
    if may == ours:
        return say("Of {versions} it is the best to print {odds}; {cost}", versions=counted(ours, "version"), odds=odds(row.odds_publish or 0), cost=cost)
    if may == 0:
        return say("Of {versions} none may be printed: each {why}.", versions=counted(ours, "version"), why=_each(judged))
    rest = _kept_out(judged, ours - may)
    if may == 1:
        return say("Of {versions} it is the only one that may be printed: {rest}.", versions=counted(ours, "version"), rest=rest)
    if paid:
        return say("Of the {may} of {versions} that may be printed ({rest}), once extras are paid for, it is the best {odds}; {cost}",
                   may=may, versions=counted(ours, "version"), rest=rest, odds=odds(row.odds_publish or 0), cost=cost)
    return say("Of the {may} of {versions} that may be printed ({rest}) it is the best {odds}; {cost}",
               may=may, versions=counted(ours, "version"), rest=rest, odds=odds(row.odds_publish or 0), cost=cost)


def _each(judged: Judged) -> str:
    limited = [o is not None for o in judged.outside[: judged.cooked.candidates]]
    return say("breaks a limit") if all(limited) else say("failed when last made or breaks a limit") if any(limited) else say("failed when last made")


def _kept_out(judged: Judged, number: int) -> str:
    """Why the others may not be printed: a limit, a failed make, or some of each."""
    limited = sum(o is not None for o in judged.outside[: judged.cooked.candidates])
    if limited >= number:
        return say("the other breaks a limit") if number == 1 else say("the others break a limit")
    if not limited:
        return say("the other failed when last made") if number == 1 else say("the others failed when last made")
    return say("the others failed when last made or break a limit")


def _settled_words(settled: int, open_: int) -> str:
    if not settled:
        return say("No question is settled.") if open_ != 1 else say("The question isn't settled.")
    if not open_:
        return say("Every question is settled.") if settled > 1 else say("The question is settled.")
    settled_ones = say_counted(settled, "{number} question is settled", "{number} questions are settled")
    return say("{settled} and {open}.", settled=settled_ones, open=say_counted(open_, "{number} is not", "{number} are not"))


def _simplest_words(verdict: Verdict, publish: PublishToday) -> str:
    if publish.simplest == publish.version:
        return say("It is also the simplest version as good as the best.")
    simple = next(r for r in verdict.rows if r.version == publish.simplest)
    best = next(r for r in verdict.rows if r.version == publish.version)
    gap, less = best.score - simple.score, best.price - simple.price
    extras = say("and it costs {saved:.1f} less in extras", saved=less) if less >= 0.05 else say("with fewer changes to the recipe as written")
    return say("Simplest as good as the best: {version}; likely {better}, {extras}.",
        version=version_words(publish.simplest), better=better_or_worse(-gap), extras=extras)


def whose_palates(judged: Judged, verdict: Verdict) -> str:
    """Whose palates the verdict speaks for."""
    speakers = list(dict.fromkeys(b.taster for b in judged.points.ballots))
    if not speakers:
        return ""
    if all(a.measured for a in judged.study.attributes):
        return say("It speaks for {makes}, measured; no palate is in it.", makes=counted(verdict.trials, "make"))
    if len(speakers) == 1:
        return say("By your palate: it speaks for one taster, {taster}, and for nobody else yet.", taster=speakers[0])
    if judged.speaks_for == "readers":
        return say("It speaks for readers, as far as {palates} can stand for theirs.", palates=counted(len(speakers), "palate"))
    return say("It speaks for {speakers}: {palates}, not your readers'.", speakers=joined(speakers), palates=counted(len(speakers), "palate"))


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
        apart = min(lean, row.odds_better) < 0.2 and max(lean, row.odds_better) > 0.8
        if apart or row.settled and (lean - 0.5) * (row.odds_better - 0.5) < 0:      # what they'd serve is settled, the marks lean the other way
            out.append(say("Asked which they would serve, tasters lean the other way on {factor} than the weighted marks do: look at the weights of "
                           "what you judge.", factor=row.factor))
    return out
