"""Reading a cross-test: worked k of n, how often it might fail, when to start looking, which words trouble."""

from __future__ import annotations

import re
from collections import Counter
from pathlib import Path
from typing import TYPE_CHECKING, Any

from proofpan.study.crosstest import CrossTest
from proofpan.study.errors import StudyError, did_you_mean, quoted
from proofpan.study.frames import NO, YES, Table, given, read_table
from proofpan.study.words import counted, joined

if TYPE_CHECKING:
    import pandas as pd

COLUMNS = ("tester", "worked", "made", "out_min", "oven_c", "tin", "swaps", "unclear", "makes", "again", "note")
EARLIER = 0.9
CONFIDENCE = 0.95
SPLIT = re.compile(r"[;,]\s*")


def cross_test(edition: Any, frame: pd.DataFrame | str | Path) -> CrossTest:
    """What other kitchens report of a recipe as written.

    Parameters: edition, an edition or a recipe (whose step ids `unclear` names); frame, a row a run: tester, worked[, made (date),
        out_min, oven_c, tin, swaps, unclear (step ids), makes (measured), again, note].

    Raises: StudyError for an unknown column or step, or an answer that can't be read.
    """
    table = read_table(frame, COLUMNS, StudyError, required=("tester", "worked"))
    steps = _steps(edition)
    as_written = [i for i in range(table.length) if not given(table.get("swaps", i)) or table.get("swaps", i).casefold() in NO]
    swapped = [i for i in range(table.length) if i not in as_written]
    worked = {i: _yes_no(table, i, "worked") for i in range(table.length)}
    tried = [i for i in as_written if worked[i] is not None]
    good = sum(bool(worked[i]) for i in tried)
    times = [t for i in as_written if worked[i] and (t := _number(table, i, "out_min")) is not None]
    unclear: Counter[str] = Counter()
    for i in range(table.length):
        for name in _unclear(table, i, steps):
            unclear[name] += 1
    made = [m for i in as_written if (m := _number(table, i, "makes")) is not None]
    again = [a for i in as_written if (a := _yes_no(table, i, "again")) is not None]
    return CrossTest(
        worked=(good, len(tried)), fails_at_most=fails_at_most(len(tried) - good, len(tried)),
        out_min=(min(times), max(times)) if times else None, look_at=look_at(min(times)) if times else None,
        unclear_steps=tuple(sorted(unclear.items(), key=lambda u: (-u[1], u[0]))),
        swapped_runs=tuple((table.get("tester", i), table.get("swaps", i), worked[i]) for i in swapped),
        makes=(min(made), max(made)) if made else None, again=(sum(again), len(again)) if again else None,
        says=_words(good, len(tried), times, unclear, len(swapped)),
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


def _unclear(table: Table, row: int, steps: list[str]) -> list[str]:
    text = table.get("unclear", row)
    if not given(text):
        return []
    out = []
    for word in (w.strip() for w in SPLIT.split(text)):
        known = next((s for s in steps if s.casefold() == word.casefold()), None)
        if word and known is None and steps:
            says = f"{quoted(word)} isn't a step of the recipe. {did_you_mean(word, steps)}"
            raise StudyError(says, file=table.file, line=table.line(row), field="unclear")
        if word:
            out.append(known or word)
    return list(dict.fromkeys(out))


def _yes_no(table: Table, row: int, column: str) -> bool | None:
    text = table.get(column, row).casefold()
    if not given(text):
        return None
    if text in YES or text in NO:
        return text in YES
    raise StudyError(f"{quoted(text)} is neither yes nor no.", file=table.file, line=table.line(row), field=column)


def _number(table: Table, row: int, column: str) -> float | None:
    text = table.get(column, row)
    if not given(text):
        return None
    match = re.match(r"\s*(\d+(?:[.,]\d+)?)", text)
    if match is None:
        raise StudyError(f"{quoted(text)} isn't a number.", file=table.file, line=table.line(row), field=column)
    return float(match.group(1).replace(",", "."))


def _words(good: int, runs: int, times: list[float], unclear: Counter[str], swapped: int) -> tuple[str, ...]:
    if not runs:
        out = ["Nobody has cooked it as written yet, so nothing can be said of how often it fails."]
    else:
        bound = round(100 * fails_at_most(runs - good, runs))
        out = [f"It worked {good} of {counted(runs, 'time')} as written: it might fail up to {bound} times in 100 (one-sided 95 %)."]
    if times:
        out.append(f"Print {min(times):g} to {max(times):g} minutes, and start looking at {look_at(min(times))}.")
    wording = [s for s, n in unclear.items() if n >= 2]
    ask = [s for s, n in unclear.items() if n == 1]
    if wording:
        out.append(f"Rewrite {joined(wording)}: two or more testers stumbled there.")
    if ask:
        out.append(f"Ask the one tester who stumbled at {joined(ask)}.")
    if swapped:
        out.append(f"{counted(swapped, 'run')} with a swap {'stands' if swapped == 1 else 'stand'} apart: "
                   f"{'it tests' if swapped == 1 else 'they test'} the swap, not the recipe.")
    out.append("What differs between kitchens can't be put down to an option unless each kitchen also made the control.")
    return tuple(out)
