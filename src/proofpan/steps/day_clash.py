"""A day that can't be cooked, said so that a cook knows what to ease: the solver's clashing limits by kind, each once, and a meal that can be."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field

from proofpan.steps.day_waits import SHELF
from proofpan.study.errors import LONGEST, shorten
from proofpan.study.lines import as_many
from proofpan.study.wording import say, say_counted
from proofpan.study.words import capital, joined, length_words

NAMED_WAITS, OTHERS, NAMED_STEPS = 2, 3, 3
_KINDS = (
    ("hours", re.compile(r"^(?P<step>.+): its hands-on minutes lie within opening hours \((?P<hours>.+)\)$")),
    ("hours", re.compile(r"^(?P<step>.+) \([^()]+\) lies within opening hours \((?P<hours>.+)\)$")),
    ("early", re.compile(r"^this round is eaten at (?P<at>.+), no plate ready more than (?P<most>.+) before$")),
    ("meal", re.compile(r"^this round is eaten at (?P<at>.+)$")),
    ("wait", re.compile(r"^(?P<step>.+) starts at most (?P<most>.+?) after (?P<before>.+)$")),
    ("least", re.compile(r"^(?P<step>.+) starts at least (?P<least>.+?) after (?P<before>.+)$")),
    ("oven", re.compile(r"^the oven (?P<oven>.+) takes one load at a time")),
    ("count", re.compile(r"^there (?:is|are) (?P<count>\d+) × (?P<thing>[^,]+)(?P<taken>, and something else.*)?$")),
    ("break", re.compile(r"^(?P<who>.+) has a break (?P<at>.+)$")),
    ("hands", re.compile(r"^(?P<who>.+) does one thing at a time$")),
    ("window", re.compile(r"^the plates of .+ are ready within (?P<most>.+) of each other$")),
    ("zone", re.compile(r"^(?P<step>.+): at most (?P<most>.+) between (?P<degrees>.+) °C \((?P<name>.+)\)$")),
    ("length", re.compile(r"^(?P<step>.+): (?P<length>\d[^:]*(?:min|h|days))$")),
)
_TRIALS = re.compile(r"Trials? [\d, ]+(?:and \d+)?: ")
_MINUTES = {"min": 1, "h": 60, "day": 1440, "days": 1440}
_ALIKE = re.compile(r" \(and \d+ alike\)")


@dataclass
class Clash:
    """The limits by kind, each named once, in the order in which they were found."""

    found: dict[str, dict[tuple[str, ...], None]] = field(default_factory=dict)
    others: list[str] = field(default_factory=list)
    opens: str = ""     # the kitchen's hours as it gives them
    kept: tuple[str, ...] = ()      # the keeping tests that are part of it
    begins: str = ""    # the earliest hands-on that was asked for
    minimal: bool = True        # whether none of them could be left out

    def of(self, kind: str) -> list[tuple[str, ...]]:
        """The limits of a kind."""
        return list(self.found.get(kind, ()))


def read_clash(conflict: Sequence[str], steps: Mapping[str, str]) -> Clash:
    """The solver's sentences taken apart. Parameters: steps, {a task's words in short: the step's name}."""
    out = Clash()

    def plain(text: str) -> str:
        text = _ALIKE.sub("", text)
        if text in steps:
            return steps[text]
        return shorten(_TRIALS.sub("", text), 40)

    for sentence in conflict:
        match = next(((kind, m) for kind, pattern in _KINDS if (m := pattern.match(sentence))), None)
        if match is None:
            out.others.append(sentence.rstrip("."))
            continue
        kind, m = match
        parts = tuple(plain(value) if name in ("step", "before") else value or "" for name, value in m.groupdict().items())
        out.found.setdefault(kind, {})[parts] = None
    return out


def hours_of(clash: Clash) -> str:
    """The kitchen's hours, once, however many tasks are held to them: as the kitchen gives them, else as the solver says them."""
    return next((clash.opens or hours for _, hours in clash.of("hours")), "")


def thing_words(number: int, thing: str) -> str:
    """`1 bowl`, `2 pots`, `4 places in the fridge`."""
    if thing == SHELF:
        return say_counted(number, "{number} place in the fridge", "{number} places in the fridge")
    return f"{number} {as_many(thing, number)}"


def held_hands(clash: Clash) -> list[tuple[str, ...]]:
    """Who is held by having two hands, but for who has a break beside it: the break is what can be moved."""
    away = {who for who, _ in clash.of("break")}
    return [(who,) for (who,) in clash.of("hands") if who not in away]


def meals_of(clash: Clash) -> list[str]:
    """When the plates are to be on the table, once."""
    return list(dict.fromkeys(at for at, *_ in (*clash.of("meal"), *clash.of("early"))))


def minutes_of(length: str) -> int:
    """Minutes of a length in words; the expected ones where a cue gives it longer (`20 min to 1 h`)."""
    return sum(int(number) * _MINUTES[unit] for number, unit in re.findall(r"(\d+) (min|h|days?)\b", length.partition(" to ")[0]))


def in_the_zone(clash: Clash) -> tuple[int, list[str]]:
    """Minutes that food that spoils would be in the danger zone at the least, and what they are made of; 0 where other limits play a part.

    In a minimal set of one food's limit and of lengths and least waits alone, each of these is needed: together they are over the limit.
    """
    if not clash.minimal or not clash.of("zone") or clash.others or set(clash.found) - {"zone", "length", "least"}:
        return 0, []
    parts = [(minutes_of(length), f"{step} {length}") for step, length in clash.of("length")]
    parts += [(minutes_of(least), say("at least {time} from {before} to {step}", time=least, before=before, step=step))
              for step, least, before in clash.of("least")]
    total = sum(minutes for minutes, _ in parts)
    return (total, [words for _, words in parts]) if total > minutes_of(clash.of("zone")[0][1]) else (0, [])


def few(words: Sequence[str], most: int) -> str:
    """The first of them, and how many more there are."""
    return ", ".join([*words[:most], *([say("and {number} more", number=len(words) - most)] if len(words) > most else [])])


def lengths_words(clash: Clash) -> list[str]:
    """What takes its time, the longest first, as one more limit of those that can't all hold."""
    longest = sorted(clash.of("length"), key=lambda part: -minutes_of(part[1]))
    steps = few([f"{step} {length}" for step, length in longest], NAMED_STEPS)
    return [say("how long things take ({steps})", steps=steps)] if steps else []


def eased(clash: Clash) -> list[str]:
    """What could be eased, a name each, the easiest first."""
    waits = [f"{step} {say('at most {time} after {before}', time=most, before=before)}" for step, most, before in clash.of("wait")]
    names: list[tuple[str, Callable[..., str]]] = [
        ("break", lambda who, at: say("{who}'s break ({time})", who=who, time=at)), ("hands", lambda who: say("{who}'s two hands", who=who)),
        ("count", lambda count, thing, taken: say("only {things}, some of it taken", things=thing_words(int(count), thing)) if taken else
            say("only {things}", things=thing_words(int(count), thing))),
        ("oven", lambda oven: say("one load at a time in the oven {oven}", oven=oven)),
        ("window", lambda most: say("all plates ready within {time}", time=most)),
        ("early", lambda at, most: say("no plate ready more than {time} early", time=most)),
    ]
    meals = meals_of(clash)
    out = [say("hands on from {time}", time=clash.begins)] if meals and clash.begins else []
    out += [say("the meal at {time}", time=at) for at in meals]
    if hours := hours_of(clash):
        out.append(say("the kitchen's hours ({hours})", hours=hours))
    out += [words(*parts) for kind, words in names for parts in (held_hands(clash) if kind == "hands" else clash.of(kind))]
    out += [say("how long things wait ({waits})", waits=few(waits, NAMED_WAITS))] if waits else []
    return [*dict.fromkeys(out), *clash.others[:OTHERS]]


def clash_words(clash: Clash, *ways_out: str) -> str:
    """One sentence of what can't all hold, then what would do; no longer than an error may be."""
    ways, limits = list(ways_out), eased(clash)
    if not limits:
        return " ".join([spoiling_words(clash) if clash.of("zone") else too_long_words(clash), *ways])
    held = [say("Not to be eased: {time} in the danger zone ({name}).", time=most, name=name) for _, most, _, name in clash.of("zone")[:1]]
    lengths = lengths_words(clash)

    def sentence(limits: Sequence[str], cut: bool) -> str:
        if len(limits) == 1 and not cut:
            return say("The day can't be cooked: {limit}.", limit=shorten(limits[0], 220))
        said = "; ".join(limits)
        return (say("The day can't be cooked: these can't all hold: {limits}, and more. Ease one of them.", limits=said) if cut else
                say("The day can't be cooked: these can't all hold: {limits}. Ease one of them.", limits=said))

    said, cut = sentence([*limits, *lengths], False), False
    while len(" ".join([said, *held, *ways])) > LONGEST and (lengths or len(ways) > 1 or len(limits) > 2):
        if lengths:
            lengths = []
        elif len(ways) > 1:
            ways.pop()
        else:
            limits.pop()
            cut = True
        said = sentence(limits, cut)
    return " ".join([said, *held, *ways])


def too_long_words(clash: Clash) -> str:
    """That steps alone take too long."""
    steps = few([f"{step} {length}" for step, length in clash.of("length")], NAMED_STEPS)
    return (say("The day can't be cooked: its steps take longer than there is time for ({steps}).", steps=steps) if steps else
            say("The day can't be cooked: its steps take longer than there is time for."))


def spoiling_words(clash: Clash) -> str:
    """That food would be in the danger zone for too long: by which steps and by how much, where no other limit plays a part."""
    _, most, degrees, name = clash.of("zone")[0]
    total, parts = in_the_zone(clash)
    if not total:
        return say("The day can't be cooked: food that spoils would be between {degrees} °C for longer than {time} ({name}), which is not to be eased.",
                   degrees=degrees, time=most, name=name)
    return say("The day can't be cooked: food that spoils would be between {degrees} °C for {total} ({steps}): {over} longer than {time} ({name}), which is "
               "not to be eased. Shorten these steps, or keep the food cold.", degrees=degrees, total=length_words(total), time=most, name=name,
               steps=few(parts, NAMED_STEPS), over=length_words(total - minutes_of(most)))


def clash_lines(clash: Clash) -> tuple[str, ...]:
    """A line for each limit that clashes: what it is, for which steps, and where it is eased; safety is not to be."""
    out = [say("Plates on the table: {time}. Try another hour, or plan without one.", time=at) for at in meals_of(clash)]
    if hours := hours_of(clash):
        steps = joined(dict.fromkeys(step for step, _ in clash.of("hours")))
        out.append(say("The kitchen's hours are {hours}, for {steps}: open longer on a day, or begin sooner.", hours=hours, steps=steps))
    out += [say("{who} has a break {time}: move it.", who=who, time=at) for who, at in clash.of("break")]
    if hands := joined(who for (who,) in held_hands(clash)):
        out.append(say("{people} can do one thing at a time: ask for another pair of hands, or cook fewer trials.", people=hands))
    out += [say("The kitchen has {things}: find more, or cook fewer trials.", things=thing_words(int(count), thing)) if not taken else
            say("The kitchen has {things}, and something else holds some of it for a time: clear it, or choose another day.",
                things=thing_words(int(count), thing))
            for count, thing, taken in clash.of("count")]
    out += [say("The oven {oven} takes one load at a time and needs time to heat and to cool: use a second oven, or fewer loads.", oven=oven)
            for (oven,) in clash.of("oven")]
    out += [say("All plates are ready within {time} of each other: more minutes (serve_within) ease it, at a cost to fairness.", time=most)
            for (most,) in clash.of("window")]
    out += [say("No plate is ready more than {time} before the meal: more minutes (serve_within) ease it.", time=most)
            for most in dict.fromkeys(m for _, m in clash.of("early"))]
    out += [say("{step} begins at most {time} after {before}: more minutes (within) ease it, where the food may wait so long.", step=capital(step), time=most,
                before=before) for step, most, before in clash.of("wait")]
    out += [say("{step} begins at least {time} after {before}.", step=capital(step), time=least, before=before) for step, least, before in clash.of("least")]
    for limit in dict.fromkeys(tuple(rest) for _, *rest in clash.of("zone")):
        most, degrees, name = limit
        steps = joined(dict.fromkeys(step for step, *rest in clash.of("zone") if tuple(rest) == limit))
        out.append(say("Food that spoils has {time} between {degrees} °C ({name}), up to {steps}: that is not to be eased. Follow your local food-safety "
                       "authority.", time=most, degrees=degrees, name=name, steps=steps))
    if clash.kept:
        out.append(say_counted(len(clash.kept), "What is tasted again is part of it ({tests}): choose another day for it, or leave it out.",
                               "What is tasted again is part of it ({tests}): choose other days for it, or leave it out.", tests="; ".join(clash.kept)))
    if lengths := clash.of("length"):
        out.append(say("What takes its time: {steps}.", steps=", ".join(f"{step} {length}" for step, length in lengths)))
    return tuple(dict.fromkeys([*out, *(capital(f"{o}.") for o in clash.others)]))
