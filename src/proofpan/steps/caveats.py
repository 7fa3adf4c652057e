"""What to bear in mind with a verdict: blindness, confounding, failed trials, weights that differ, lots, palates."""

from __future__ import annotations

from typing import TYPE_CHECKING

from proofpan.steps.elsewhere import elsewhere_words
from proofpan.steps.making import recipe_of
from proofpan.steps.observing import attribute_points, number_in
from proofpan.steps.palates import opposite_on_attributes, opposite_palates
from proofpan.steps.telling_apart import what_cant_be_told
from proofpan.steps.unblinded import unblinded_favourite
from proofpan.steps.untasted_plates import untasted_plates
from proofpan.study.countries import measures_of
from proofpan.study.errors import did_you_mean, quoted
from proofpan.study.readings import INSTRUMENT
from proofpan.study.study import Study
from proofpan.study.trials import Trial
from proofpan.study.versions import Version
from proofpan.study.wording import say, say_counted
from proofpan.study.words import capital, counted, joined, option_words, points, version_words

if TYPE_CHECKING:
    from proofpan.steps.judged import Judged

DEVIATION = 0.1
AT_THE_END = 0.25
SWINGS, AGREES, PLATES_TO_SWING = 2.0, 0.3, 8   # times as wide as the panel's middle; correlation with it; marks (common practice, no source)


def cautions_of(judged: Judged) -> list[str]:
    """All cautions of a verdict, the ones that change its meaning first."""
    study = judged.study
    out = opposite_palates(judged) + opposite_on_attributes(judged)
    out += what_cant_be_told(study)
    out += one_lot(study)
    out += blindness(study)
    out += unblinded_favourite(judged)
    out += failures(judged)
    out += elsewhere_words(study)
    out += deviations(study)
    out += untasted_plates(study)
    out += unmarked(judged)
    out += single_makes(judged)
    out += ends_of_the_scale(judged)
    out += uninformative(judged)
    out += wild_marks(judged)
    if judged.decision.publish is None:
        out.append(say("No version may be published: each breaks a limit or failed when it was last made. The best of them stands here."))
    out += limits_cost(judged)
    return list(dict.fromkeys(out))


def one_lot(study: Study) -> list[str]:
    """Where every trial was made of one lot, what is found holds of that lot."""
    lots = {t.lot for t in study.cooked if not t.failed}
    made = sum(not t.failed for t in study.cooked)
    if len(lots) != 1 or not (lot := next(iter(lots))) or made < 2:
        return []
    return [say("All {number} makes are of one lot ({lot}): what they show is of that lot; another may show otherwise, so make the likeliest of another "
                "before you print.", number=made, lot=lot)]


def blindness(study: Study) -> list[str]:
    """What wasn't blind: trials marked so, and options that show."""
    seen = [t.trial for t in study.cooked if t.blind is False]
    out = []
    if not study.brief.blind or (seen and len(seen) == len(study.cooked)):
        out.append(say("Not blind: whoever tasted knew what they were eating, so liking and expectation can't be told from each other."))
    elif seen:
        out.append(say_counted(len(seen), "Not blind: trial {trials}.", "Not blind: trials {trials}.", trials=joined(map(str, seen))))
    shows = [f"{f.name} ({o.name})" for f in study.factors for o in f.options if f.is_visible(o.name)]
    if shows:
        out.append(say("Codes don't blind what shows: {shows}; read what depends on looks with that in mind.", shows=joined(shows[:4])))
    return out


def failures(judged: Judged) -> list[str]:
    """A sentence for each version that failed: counted, never averaged in."""
    makes: dict[Version, list[Trial]] = {}
    for t in judged.study.cooked:
        makes.setdefault(t.version, []).append(t)
    return [_failed_words(judged, version, made) for version, made in makes.items() if any(t.failed for t in made)] + _in_common(judged)


def _in_common(judged: Judged) -> list[str]:
    """What all failed makes had and others come out without: the first place to look."""
    failed = [t for t in judged.study.cooked if t.failed]
    if len({t.version for t in failed}) < 2:
        return []
    out = []
    for factor in judged.study.factors:
        had = {t.version.get(factor.name) for t in failed}
        others = [t for t in judged.study.cooked if not t.failed and t.version.get(factor.name) not in had]
        if len(had) == 1 and None not in had and len(others) >= len(failed):
            option = option_words(factor.name, str(next(iter(had))))
            what = say("Both failed makes") if len(failed) == 2 else say("All {number} failed makes", number=len(failed))
            out.append(say("{makes} had {option}, none without it failed: find out why before you make it again.", makes=what, option=option))
    return out


def _failed_words(judged: Judged, version: Version, made: list[Trial]) -> str:
    failed = [t for t in made if t.failed]
    reasons = joined(dict.fromkeys(str(t.failed) for t in failed))
    which = say_counted(len(failed), "trial {trials}", "trials {trials}", trials=joined(str(t.trial) for t in failed))
    if len(made) == 1:
        out = say("{version} failed when it was made ({which}): {reasons}.", version=capital(version_words(version)), which=which, reasons=reasons)
    else:
        out = say("{version} failed in {failed} of {makes} ({which}): {reasons}.",
                  version=capital(version_words(version)), failed=len(failed), makes=counted(len(made), "make"), which=which, reasons=reasons)
    if made[-1].failed:
        out += " " + say("It isn't published until it has been made again without failing.")
    else:
        out += " " + say("It has been made since without failing; make it once more before you print it.")
    marked = {(b.round, b.trial) for b in judged.study.ballot_records}
    return out + (" " + say("Marks given to a failed make are kept and not used.") if any(t.key in marked for t in failed) else "")


def deviations(study: Study) -> list[str]:
    """Weights more than a tenth away from what was planned."""
    if study.brief.base is None:
        return []
    from proofpan.science.measures import parse_line

    out = []
    country = study.brief.kitchen.country
    for t in study.cooked:
        if not t.weighed:
            continue
        lines = {i.named.casefold(): i for i in recipe_of(study, t.version).ingredients}
        share = test_batch_share(study)
        for item, amount in t.weighed_amounts():
            line = lines.get(item.casefold())
            if line is None:
                unused = say("Trial {trial}: {item} was weighed but isn't in that version's recipe, so it is kept and not used.", trial=t.trial,
                             item=quoted(item))
                out.append(f"{unused} {did_you_mean(item, [i.named for i in lines.values()])}")
                continue
            planned = parse_line(line.text, measures_of(country)).mass_g
            weighed = number_in(amount)
            if planned is None or weighed is None or planned[0] <= 0:
                continue
            expected = planned[0] * (share if t.size == "test" else 1.0)
            off = weighed / expected - 1
            if abs(off) > DEVIATION:
                far = say("{off:.0%} more", off=off) if off > 0 else say("{off:.0%} less", off=-off)
                out.append(say("Trial {trial}: {weighed:g} g of {item} was weighed where {expected:.3g} g was planned ({off}). What was weighed counts: "
                               "is it still that version?", trial=t.trial, weighed=weighed, item=item, expected=expected, off=far))
    return out


def test_batch_share(study: Study) -> float:
    """How much of the recipe one trial makes: `trial_makes` over `makes`, 1 where either isn't a number."""
    base = study.brief.base
    if base is None or base.trial_makes is None or base.makes is None:
        return 1.0
    part, whole = number_in(base.trial_makes), number_in(base.makes)
    return part / whole if part and whole else 1.0


def unmarked(judged: Judged) -> list[str]:
    """What is to be judged and has no mark yet, while the rest has: the overall score stands without it."""
    study = judged.study
    marked = {a.name: bool(attribute_points(study, a).ballots) for a in study.attributes}
    missing, there = [n for n, m in marked.items() if not m], [n for n, m in marked.items() if m]
    if not missing or not there:
        return []
    return [say_counted(len(missing), "{names} has no mark yet: the overall score stands on {there} alone.",
                        "{names} have no mark yet: the overall score stands on {there} alone.", names=capital(joined(missing)), there=joined(there))]


def single_makes(judged: Judged) -> list[str]:
    """When nothing was made twice, a lucky cook can't be told from a good version."""
    made: dict[int, int] = {}
    for t in judged.cooked.trials:
        if not t.failed:
            made[judged.cooked.of_trial[t.key]] = made.get(judged.cooked.of_trial[t.key], 0) + 1
    if made and max(made.values()) == 1 and len(made) > 1:
        return [say("No version was made twice, so how much two makes of one version differ is taken from what is usual, not from this kitchen.")]
    return []


def ends_of_the_scale(judged: Judged) -> list[str]:
    """Scores that pile up at an end say less than they seem to."""
    x = judged.points.points
    if len(x) < 8:
        return []
    top, bottom = float((x >= 10).mean()), float((x <= 0).mean())
    if max(top, bottom) < AT_THE_END:
        return []
    if top > bottom:
        return [say("{share:.0%} of the marks stand at the top of the scale, where differences can't show: ask for a harder scale.", share=top)]
    return [say("{share:.0%} of the marks stand at the bottom of the scale, where differences can't show: ask for a harder scale.", share=bottom)]


def uninformative(judged: Judged) -> list[str]:
    """Tasters whose scores carry no information: reported, not dropped."""
    return [say("{name}'s marks tell little about the versions ({note}); they count for little and weren't dropped.", name=name, note=h.note.rstrip("."))
            for name, h in judged.health.items() if not h.informative and name != INSTRUMENT]


def wild_marks(judged: Judged) -> list[str]:
    """Tasters whose marks swing far wider than the others' and don't go with them."""
    known = {n: h for n, h in judged.health.items() if h.informative and h.use_of_scale and n != INSTRUMENT}
    out = []
    for name, h in known.items():
        others = sorted(o.use_of_scale for n, o in known.items() if n != name)
        marks = sum(b.taster == name for b in judged.points.ballots)
        if len(others) < 2 or marks < PLATES_TO_SWING or h.agreement is None or h.agreement >= AGREES:
            continue
        usual = others[len(others) // 2]
        if h.use_of_scale > SWINGS * usual:
            out.append(say("{name}'s marks swing by {size}, the others' by {usual}, and don't go with theirs: ask how {name_2} marked.", name=name,
                           size=points(h.use_of_scale / judged.unit), usual=points(usual / judged.unit), name_2=name))
    return out


def limits_cost(judged: Judged) -> list[str]:
    """What a limit of the commission costs, in points."""
    best, publish = judged.decision.best, judged.decision.publish
    outside = judged.outside[best]
    if outside is None or publish is None:
        return []
    if judged.untasted_in(int(best)):
        return []       # the limit's own sentence says that nobody knows
    gap = float(judged.posterior.mean[best] - judged.posterior.mean[publish]) / judged.unit
    shown = version_words(judged.study.version(judged.cooked.versions[best]))
    return [say("{shown} would likely be {gap:.1f} better, but lies outside the brief: {outside}.", shown=capital(shown), gap=gap, outside=outside)]
