"""Lines and steps of a worked recipe: what each weighs, what it says, and where its figures come from."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass

from proofpan.steps.hands import hands_of
from proofpan.steps.making import recipe_of
from proofpan.steps.recipe_styling import with_degrees
from proofpan.steps.timing import minutes_between
from proofpan.study.countries import measures_of
from proofpan.study.crosstest import CrossTest
from proofpan.study.edits import EditFault
from proofpan.study.errors import StudyError
from proofpan.study.fields import plain_number
from proofpan.study.reader_recipe import RecipeLine, RecipeStep
from proofpan.study.recipe import Ingredient, Recipe, Step
from proofpan.study.study import Study
from proofpan.study.trials import Trial
from proofpan.study.versions import Version
from proofpan.study.wording import say, spoken
from proofpan.study.words import counted, joined

STATUSES = ("cooked", "cross-tested", "worked out", "read")
HEATS_OVEN = re.compile(r"\b(?:pre-?heat|heat|turn on|light)\b[^.;]{0,30}\boven\b", re.I)
EARLIER = 0.9               # start looking a tenth before the earliest that was ever done
_STATED = re.compile(r"\bminutes?\b|\bmins?\b|\bhours?\b|\bovernight\b|\bdays?\b|\bweeks?\b|\bmonths?\b", re.I)


def grams_of(line: str, item: str, country: str | None) -> tuple[float, float] | None:
    """(low, high) grams of a line: its own weight, else by density, else by the usual weight of a piece; none where nothing is known."""
    from proofpan.science.foods import density_g_per_ml, mass_g
    from proofpan.science.measures import parse_line

    country = measures_of(country)
    parsed = parse_line(line, country)
    if parsed.mass_g is not None:
        return parsed.mass_g
    if parsed.volume_ml is not None:
        density = density_g_per_ml(item)
        return None if density is None else (parsed.volume_ml[0] * density[1], parsed.volume_ml[1] * density[2])
    if parsed.low is None or parsed.unit is None:
        return None
    high = parsed.high if parsed.high is not None else parsed.low
    named_country = country if country in ("US", "UK", "AU", "NZ", "CA", "IE", "IN") else None
    piece = mass_g(item, 1, (parsed.size or "each") if parsed.unit == "each" else parsed.unit, None, named_country)
    if piece is None and parsed.unit == "each":
        piece = mass_g(item, 1, "each", None, named_country)
    return None if piece is None else (piece[1] * parsed.low, piece[2] * high)


def status_of_lines(study: Study, version: Version, made: Recipe, *, cross_tested: bool) -> dict[str, str]:
    """{line or step in words: status}: cooked where a trial that didn't fail was made to these very words, in this draft or an earlier one.

    `read` is a line that nobody cooked and that a source gives; the rest was worked out.
    """
    good = [t for t in study.cooked if t.version == version and not t.failed]
    cooked: set[str] = set()
    for draft in {t.draft for t in good}:
        as_it_was = _in_draft(study, version, draft)
        if as_it_was is not None:
            cooked |= {i.text for i in as_it_was.ingredients} | {_key(s) for s in as_it_was.method}
    read = [c.ours.casefold() for c in study.claims if c.ours and c.source]
    out: dict[str, str] = {}
    for words in (*(i.text for i in made.ingredients), *(_key(s) for s in made.method)):
        known = words in cooked
        if known and cross_tested:
            out[words] = "cross-tested"
        elif known:
            out[words] = "cooked"
        else:
            out[words] = "read" if any(words.casefold() in ours for ours in read) else "worked out"
    return out


def _in_draft(study: Study, version: Version, draft: int) -> Recipe | None:
    """The version's recipe as it stood in a draft; none where its edits no longer fit that one."""
    drafts = (*study.brief.drafts, study.brief.base)
    base = drafts[draft - 1] if 0 < draft <= len(drafts) else None
    if base is None:
        return None
    try:
        return recipe_of(study.model_copy(update={"brief": study.brief.model_copy(update={"base": base})}), version)
    except (StudyError, EditFault):
        return None


def _key(step: Step) -> str:
    return f"{step.id}: {step.do} {step.oven.text if step.oven else ''} {step.minutes or ''} {step.until or ''}"


def worked_lines(made: Recipe, country: str | None, statuses: dict[str, str]) -> tuple[RecipeLine, ...]:
    """The list with grams and statuses."""
    return tuple(_line(i, country, statuses[i.text]) for i in made.ingredients)


def _line(line: Ingredient, country: str | None, status: str) -> RecipeLine:
    return RecipeLine(text=line.text, item=line.item, grams=grams_of(line.text, line.item, country), written=line.text, status=status,
                      group=line.group)


@dataclass(frozen=True)
class Taken:
    """Minutes that it took: the shortest, the longest, and in what ("3 trials and 4 cross-tests")."""

    low: float
    high: float
    of: str


def worked_steps(made: Recipe, statuses: dict[str, str], trials: Iterable[Trial], tests: CrossTest | None = None) -> tuple[RecipeStep, ...]:
    """The method with its times; where one step alone is in the oven, its times are those of the trials and the cross-tests."""
    baking = [s for s in made.method if s.oven is not None and not HEATS_OVEN.search(s.do)]
    taken = taken_in(trials, tests)
    return tuple(_step(s, statuses[_key(s)], taken if baking == [s] else None) for s in made.method)


def taken_in(trials: Iterable[Trial], tests: CrossTest | None) -> Taken | None:
    """The minutes from in to out of trials that didn't fail and of cross-tests that worked as written."""
    found = [m for t in trials if not t.failed and (m := minutes_between(t.start, t.out)) is not None and m > 0]
    of = [counted(len(found), "trial")] if found else []
    if tests is not None and tests.out_min is not None:
        found += list(tests.out_min)
        of.append(counted(tests.worked[0], "cross-test"))
    return Taken(min(found), max(found), joined(of)) if found else None


def _step(step: Step, status: str, actual: Taken | None) -> RecipeStep:
    text = with_degrees(step.do.strip())
    text += "" if text.endswith((".", "!", "?", ":")) else "."
    after = []
    if step.oven is not None and f"{step.oven.temperature_c:g}" not in text and step.oven.text not in text:
        setting = with_degrees(step.oven.text)
        after.append(say("oven at {setting}", setting=setting) if "oven" not in setting.casefold() else setting)
    minutes = None if actual is None else (actual.low, actual.high)
    stated = minutes or step.minutes
    if stated is not None and actual is None and not _STATED.search(text):     # what it took is said in a sentence of its own
        after.append(span_words(*stated))
    if step.until and step.until.casefold() not in text.casefold():
        after.append(say("until {cue}", cue=with_degrees(step.until)))
    if after:
        text += " " + ", ".join(after)[:1].upper() + ", ".join(after)[1:] + "."
    if actual is not None:
        look = max(1, int(actual.low * EARLIER))
        text += " " + say("It took {time} in {of}: start looking after {look}.", time=span_words(actual.low, actual.high), of=actual.of, look=look)
    busy, by = hands_of(step)
    return RecipeStep(id=step.id, text=text, do=step.do, minutes=stated, until=step.until, status=status, hands=busy, hands_by=by)


def span_words(low: float, high: float) -> str:
    """`1 minute`, `18 minutes`, `10 to 12 minutes`, `2 to 3 hours`, `4 hours 50 minutes`, `5 days`, `5 days 2 hours`."""
    unit, size = next((u, n) for u, n, least in (("day", DAY, 2 * DAY), ("hour", 60, 180), ("minute", 1, 0)) if low >= least and low % n == high % n == 0
                      or n == 1 or low == high >= least)
    if low == high:
        return _long(round(low), size) if size > 1 and low % size else _counted(round(low / size, 1), unit)
    span = {"low": plain_number(round(low / size, 1)), "high": plain_number(round(high / size, 1))}
    return {"day": say("{low} to {high} days", **span), "hour": say("{low} to {high} hours", **span), "minute": say("{low} to {high} minutes", **span)}[unit]


DAY = 24 * 60


def _long(minutes: int, size: int) -> str:
    """Days and hours, or hours and minutes, of a time that is no whole number of the first."""
    if size == DAY:
        days, hours = divmod(round(minutes / 60), 24)
        return f"{_counted(days, 'day')} {_counted(hours, 'hour')}" if hours else _counted(days, "day")
    hours, rest = divmod(minutes, 60)
    return f"{_counted(hours, 'hour')} {_counted(rest, 'minute')}"


def _counted(number: float, unit: str) -> str:
    whole, time = 1 if number == 1 else max(2, round(number)), plain_number(number)      # the form that the language has for about so many
    said = spoken().counted
    return {"day": said(whole, "{time} day", "{time} days", time=time), "hour": said(whole, "{time} hour", "{time} hours", time=time),
            "minute": said(whole, "{time} minute", "{time} minutes", time=time)}[unit]
