"""What a day that has slipped can't keep any more: each limit once, in the kitchen's words, with the most that it is over by; safety first."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from typing import TYPE_CHECKING

from proofpan.steps.day_clash import minutes_of, read_clash
from proofpan.study.errors import shorten
from proofpan.study.wording import say, say_counted
from proofpan.study.words import joined

if TYPE_CHECKING:
    from proofpan.science.daywork import Task

_TRIALS = re.compile(r"\b[Tt]rials? (\d[\d, and]*)")
_ZONE = re.compile(r"^(?P<food>.+): at most (?P<most>.+) between (?P<degrees>.+) °C \((?P<name>.+)\)$")


def unsafe_words(unsafe: Sequence[str]) -> tuple[str, ...]:
    """A sentence for the food that an authority's limit is over for: the trials together, what is made for the camera by its name."""
    groups: dict[tuple[str, str, str], list[tuple[str, str]]] = {}
    for sentence in unsafe:
        limit, _, over = sentence.rpartition(": ")
        match = _ZONE.match(limit)
        if match is None:
            groups.setdefault((sentence, "", ""), [])
        else:
            groups.setdefault((match["most"], match["degrees"], match["name"]), []).append((match["food"], over))
    return tuple(_unsafe(key, found) for key, found in groups.items())


def _unsafe(limit: tuple[str, str, str], found: list[tuple[str, str]]) -> str:
    most, degrees, name = limit
    if not found:
        return say("Not safe: {limit}. Don’t serve it; what your local authority says of such food holds.", limit=most)
    trials = sorted(set(_trials_in(food for food, _ in found)))
    others = [shorten(_batch(food), 40) for food, _ in found if not _TRIALS.search(food)]
    what = [*([say_counted(len(trials), "trial {trials}", "trials {trials}", trials=joined(map(str, trials)))] if trials else []), *dict.fromkeys(others)]
    over = max((over for _, over in found), key=minutes_of)
    return say("Not safe: {food}, over the {most} allowed between {degrees} °C ({name}) by up to {over}. Don’t serve it; what your local authority says of "
               "such food holds.", food=joined(what), most=most, degrees=degrees, name=name, over=over.removesuffix(" over"))


def _batch(food: str) -> str:
    """`hero batch` of “Hero batch: roll it out”: which batch it is, not what was being done to it."""
    name, of_a_batch, _ = food.partition(": ")
    return name[:1].lower() + name[1:] if of_a_batch else food


def slipped_words(broken: Sequence[str], tasks: Iterable[Task], steps: Mapping[str, str]) -> tuple[str, ...]:
    """A sentence for each limit that bends: a step by its name, its trials together.

    Parameters: broken, the solver's sentences, each with how much it is over; steps, {a cooking task's key: its step}.
    """
    from proofpan.science.daywork import in_short

    names = {in_short(t.words): steps.get(t.key) or {"plate": say("portioning"), "taste": say("the tasting"), "keep": say("wrapping")}.get(
        t.key.split()[0], in_short(t.words, 40)) for t in tasks}
    most: dict[str, tuple[int, str, set[int]]] = {}
    for sentence in broken:
        limit, _, over = sentence.rpartition(": ")
        words = _limit(limit, names)
        longest, said, trials = most.get(words, (0, over, set()))
        most[words] = (max(longest, minutes_of(over)), over if minutes_of(over) > longest else said, trials | set(_trials_in([limit])))
    return tuple(_kept_not(words, over, sorted(trials)) for words, (_, over, trials) in most.items())


def _kept_not(words: str, over: str, trials: list[int]) -> str:
    if not trials:
        return say("Not kept: {limit}: {over}.", limit=words, over=over)
    return say_counted(len(trials), "Not kept: {limit} (trial {trials}): {over}.", "Not kept: {limit} (trials {trials}): {over}.", limit=words,
                       trials=joined(map(str, trials)), over=over)


def _limit(limit: str, names: Mapping[str, str]) -> str:
    """A limit in the kitchen's words; one of another kind as the solver says it."""
    clash = read_clash([limit], names)
    for step, most, before in clash.of("wait"):
        return say("{step} begins at most {time} after {before}", step=step, time=most, before=before)
    for (most,) in clash.of("window"):
        return say("all plates ready within {time} of each other", time=most)
    for at, most in clash.of("early"):
        return say("no plate ready more than {time} before the meal at {at}", time=most, at=at)
    return say("the meal at {time}", time=clash.of("meal")[0][0]) if clash.of("meal") else limit


def _trials_in(texts: Iterable[str]) -> list[int]:
    return [int(n) for text in texts for found in _TRIALS.findall(text) for n in re.findall(r"\d+", found)]
