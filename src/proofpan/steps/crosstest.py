"""Reading a cross-test: worked k of n, how often it might fail, when to start looking, which words trouble."""

from __future__ import annotations

import re
from collections import Counter
from pathlib import Path
from typing import TYPE_CHECKING, Any

from proofpan.steps.kitchens import against_control, between_kitchens
from proofpan.study.crosstest import CrossTest
from proofpan.study.errors import StudyError, did_you_mean, quoted
from proofpan.study.frames import NO, YES, Table, given, read_table
from proofpan.study.wording import say, say_counted
from proofpan.study.words import capital, counted, joined

if TYPE_CHECKING:
    import pandas as pd

COLUMNS = ("tester", "worked", "made", "out_min", "oven_c", "tin", "swaps", "unclear", "makes", "again", "note",
           "oven", "thermometer_c", "times", "words", "score", "control", "photo")
EARLIER = 0.9
CONFIDENCE = 0.95
SPLIT = re.compile(r"[;,]\s*")
MARKS = (0.0, 10.0)
LONGEST_MINUTES = 60 * 24 * 60.0


def cross_test(edition: Any, frame: pd.DataFrame | str | Path) -> CrossTest:
    """What other kitchens report of a recipe as written.

    Parameters: edition, an edition or a recipe (whose lines `unclear` names); frame, a row a run: tester, worked[, made (date),
        out_min, oven_c, tin, swaps, unclear (step ids or items), makes (measured), again, note, oven (kind), thermometer_c, times
        (“mix 8; bake 24”), words (“mix: how fine?”), score and control (0–10: the recipe's mark and the control's, both made
        there), photo]. One tester is one kitchen.

    Raises: StudyError for an unknown column or line, or an answer that can't be read.
    """
    table = read_table(frame, COLUMNS, StudyError, required=("tester", "worked"))
    steps, items = _steps(edition), _items(edition)
    as_written = [i for i in range(table.length) if not given(table.get("swaps", i)) or table.get("swaps", i).casefold() in NO]
    swapped = [i for i in range(table.length) if i not in as_written]
    worked = {i: _yes_no(table, i, "worked") for i in range(table.length)}
    tried = [i for i in as_written if worked[i] is not None]
    good = sum(bool(worked[i]) for i in tried)
    for name in ("oven_c", "thermometer_c"):
        for i in range(table.length):
            _number(table, i, name)
    timed = {i: _times(table, i, steps) for i in range(table.length)}
    out = {i: t for i in as_written if worked[i] and (t := _number(table, i, "out_min", most=LONGEST_MINUTES)) is not None}
    times = list(out.values())
    unclear: Counter[str] = Counter()
    for i in range(table.length):
        for name in _unclear(table, i, steps, items):
            unclear[name] += 1
    made = [m for i in as_written if (m := _number(table, i, "makes")) is not None]
    again = [a for i in as_written if (a := _yes_no(table, i, "again")) is not None]
    by_kitchen: dict[str, list[float]] = {}
    for i, minutes in out.items():
        by_kitchen.setdefault(table.get("tester", i).casefold(), []).append(minutes)
    kitchens, control = between_kitchens(by_kitchen), against_control(_both_made(table, as_written))
    failures = tuple((table.get("tester", i), table.get("note", i)) for i in tried if not worked[i])
    return CrossTest(
        worked=(good, len(tried)), fails_at_most=fails_at_most(len(tried) - good, len(tried)),
        out_min=(min(times), max(times)) if times else None, look_at=look_at(min(times)) if times else None,
        unclear_steps=tuple(sorted(unclear.items(), key=lambda u: (-u[1], u[0]))),
        swapped_runs=tuple((table.get("tester", i), table.get("swaps", i), worked[i]) for i in swapped),
        makes=(min(made), max(made)) if made else None, again=(sum(again), len(again)) if again else None,
        says=_words(good, len(tried), times, unclear, len(swapped), len({table.get("tester", i).casefold() for i in tried}),
                    kitchens.says if kitchens else "", control.says if control else ""),
        failures=failures, step_times=_step_times(timed, as_written, worked, steps),
        words=tuple(w for i in range(table.length) for w in _said(table, i, steps, items)), kitchens=kitchens, against_control=control,
    )


def fails_at_most(failures: int, runs: int) -> float:
    """The one-sided 95 % upper bound of how often it fails (Clopper & Pearson, 1934): 0 of 1, 3, 5 → 0.95, 0.63, 0.45."""
    if runs == 0 or failures >= runs:
        return 1.0
    from scipy.special import betaincinv

    return float(betaincinv(failures + 1, runs - failures, CONFIDENCE))


def look_at(earliest: float) -> int:
    """When to start looking: the earliest time less a tenth, in whole minutes."""
    return int(round(earliest * EARLIER + 1e-9))


def _steps(edition: Any) -> list[str]:
    recipe = getattr(edition, "recipe", edition)
    return [s.id for s in getattr(recipe, "method", ()) if hasattr(s, "id")]


def _items(edition: Any) -> list[str]:
    recipe = getattr(edition, "recipe", edition)
    lines = getattr(recipe, "lines", None)
    if lines is not None:
        return [x.item for x in lines]
    return [i.named for i in getattr(recipe, "ingredients", ()) if hasattr(i, "named")]


def _line(word: str, steps: list[str], items: list[str], table: Table, row: int, field: str) -> str:
    """A step or an item by its name, whatever the case."""
    known = next((s for s in (*steps, *items) if s.casefold() == word.casefold()), None)
    if known is None and steps:
        says = f"{quoted(word)} isn't a line of the recipe. {did_you_mean(word, [*steps, *items])}"
        raise StudyError(says, file=table.file, line=table.line(row), field=field)
    return known or word


def _unclear(table: Table, row: int, steps: list[str], items: list[str]) -> list[str]:
    text = table.get("unclear", row)
    if not given(text):
        return []
    whole = next((s for s in (*steps, *items) if s.casefold() == text.casefold()), None)
    words = [whole] if whole else [w.strip() for w in SPLIT.split(text) if w.strip()]
    return list(dict.fromkeys(_line(w, steps, items, table, row, "unclear") for w in words))


def _said(table: Table, row: int, steps: list[str], items: list[str]) -> list[tuple[str, str, str]]:
    """(line, tester, what they wrote about it)."""
    out = []
    for part in table.get("words", row).split(";"):
        name, mark, words = part.partition(":")
        if mark and words.strip():
            out.append((_line(name.strip(), steps, items, table, row, "words"), table.get("tester", row), words.strip()))
    return out


def _times(table: Table, row: int, steps: list[str]) -> dict[str, float]:
    """{step: minutes} of “mix 8; bake 24”."""
    out = {}
    for part in table.get("times", row).split(";"):
        if not part.strip():
            continue
        match = re.fullmatch(r"\s*(.+?)\s+(\d+(?:[.,]\d+)?)\s*(?:min(?:utes)?)?\s*", part)
        if match is None:
            raise StudyError(f"{quoted(part.strip())} isn't a step and its minutes, such as bake 24.", file=table.file, line=table.line(row),
                             field="times")
        out[_line(match.group(1), steps, [], table, row, "times")] = float(match.group(2).replace(",", "."))
    return out


def _step_times(
    timed: dict[int, dict[str, float]], as_written: list[int], worked: dict[int, bool | None], steps: list[str]
) -> tuple[tuple[str, float, float, int], ...]:
    out = []
    for step in steps:
        found = [timed[i][step] for i in as_written if worked[i] and step in timed[i]]
        if found:
            out.append((step, min(found), max(found), len(found)))
    return tuple(out)


def _both_made(table: Table, rows: list[int]) -> dict[str, tuple[float, float]]:
    """{kitchen: (mark of the recipe, mark of the control)}, a kitchen's runs averaged."""
    held: dict[str, list[tuple[float, float]]] = {}
    for i in rows:
        one, other = (_number(table, i, n, least=MARKS[0], most=MARKS[1]) for n in ("score", "control"))
        if one is not None and other is not None:
            held.setdefault(table.get("tester", i).casefold(), []).append((one, other))
    return {k: (sum(a for a, _ in v) / len(v), sum(b for _, b in v) / len(v)) for k, v in held.items()}


def _yes_no(table: Table, row: int, column: str) -> bool | None:
    text = table.get(column, row).casefold()
    if not given(text):
        return None
    if text in YES or text in NO:
        return text in YES
    raise StudyError(f"{quoted(text)} is neither yes nor no.", file=table.file, line=table.line(row), field=column)


def _number(table: Table, row: int, column: str, *, least: float | None = None, most: float | None = None) -> float | None:
    text = table.get(column, row)
    if not given(text):
        return None
    match = re.match(r"\s*(\d+(?:[.,]\d+)?)", text)
    if match is None:
        raise StudyError(f"{quoted(text)} isn't a number.", file=table.file, line=table.line(row), field=column)
    value = float(match.group(1).replace(",", "."))
    if (least is not None and value < least) or (most is not None and value > most):
        raise StudyError(f"{quoted(text)} lies outside {least or 0:g} to {most:g}.", file=table.file, line=table.line(row), field=column)
    return value


def _words(
    good: int, runs: int, times: list[float], unclear: Counter[str], swapped: int, kitchens: int, spread: str, control: str
) -> tuple[str, ...]:
    if not runs:
        out = [say("Nobody has cooked it as written yet, so nothing can be said of how often it fails.")]
    else:
        bound = round(100 * fails_at_most(runs - good, runs))
        out = [say("It worked {good} of {times} as written: it might fail up to {bound} times in 100 (one-sided 95 %).",
            good=good, times=counted(runs, "time"), bound=bound)]
        if kitchens < runs:
            out.append(say("That was in {kitchens}: runs of one kitchen are alike, so the bound is a little too good.", kitchens=counted(kitchens, "kitchen")))
    if times:
        low, high = min(times), max(times)
        span = say("{low:g} to {high:g} minutes", low=low, high=high) if low < high else say("about {low:g} minutes", low=low)
        out.append(say("Print {span}, and start looking at {look_at}.", span=span, look_at=look_at(low)))
    out += [spread] if spread else []
    wording = [s for s, n in unclear.items() if n >= 2]
    ask = [s for s, n in unclear.items() if n == 1]
    if wording:
        out.append(say("Rewrite {wording}: two or more testers stumbled there.", wording=joined(wording)))
    if ask:
        out.append(say("Ask the one tester who stumbled at {ask}.", ask=joined(ask)))
    if swapped:
        out.append(say_counted(swapped, "{number} run with a swap stands apart: it tests the swap, not the recipe.",
                               "{number} runs with a swap stand apart: they test the swap, not the recipe."))
    out.append(control or say("What differs between kitchens can't be put down to an option unless each kitchen also made the control."))
    return tuple(capital(s) for s in out)
