"""The tester's pack: the text as it will be printed, in the tester's measures, with what is asked; and the answers read back."""

from __future__ import annotations

import hashlib
import json
import re
from collections.abc import Mapping
from datetime import date
from difflib import SequenceMatcher
from itertools import zip_longest
from typing import Any

from proofpan.steps.crosstest import cross_test
from proofpan.steps.making import recipe_of
from proofpan.steps.recipe import recipe
from proofpan.study.crosstest import AskedLine, TesterPack
from proofpan.study.errors import StudyError, quoted
from proofpan.study.reader_recipe import ReaderRecipe
from proofpan.study.recipe import Recipe
from proofpan.study.study import Study
from proofpan.study.versions import Version
from proofpan.study.words import capital, version_words

AS_WRITTEN = "as written"
FORM = "proofpan cross-test"
FORMAT = 1
LONGEST_ANSWERS = 12_000_000     # with a photograph inside
LONGEST_WORDS = 2_000
PLAIN = ("tester", "worked", "made", "oven", "oven_c", "thermometer_c", "tin", "swaps", "makes", "again", "note", "score", "control", "out_min")


def tester_pack(study: Study, version: Any, *, measures: str = AS_WRITTEN, tester: str = "", control: Any = None) -> TesterPack:
    """What a tester is sent.

    Parameters: version, which is to be cooked; measures, "as written", "metric", "US", "UK", "AU" or "NZ"; tester, where their name is
        known; control, a version that the kitchen is asked to make too.

    Raises: StudyError for no recipe or no such version; QuantityError for other measures.
    """
    chosen = study.version(version)
    shown = _shown(study, chosen, measures)
    shown = shown.model_copy(update={"lines": tuple(x.model_copy(update={"status": "cooked"}) for x in shown.lines)})  # where a line comes from is ours
    written = recipe_of(study, chosen)
    names = [i.named for i in written.ingredients]
    timed = {s.id for s in written.method if s.minutes is not None or s.until is not None or s.rest is not None or s.oven is not None}
    lines = [AskedLine(name=n, kind="ingredient", text=x.text) for n, x in zip(names, shown.lines, strict=True)]
    lines += [AskedLine(name=s.id, kind="step", text=s.text, timed=s.id in timed) for s in shown.method]
    other = None if control is None else study.version(control)
    if other == chosen:
        raise StudyError("The control is another version than the one to cook.", field="control")
    theirs = None if other is None else _shown(study, other, measures)
    text = json.dumps([x.text for x in lines], ensure_ascii=False)
    return TesterPack(
        recipe=shown, version=str(chosen), measures=measures, lines=tuple(lines), main_step=main_step(written), tester=tester,
        digest=hashlib.sha256(text.encode()).hexdigest()[:12], celsius=measures != "US",
        control="" if other is None else capital(version_words(other)), control_version="" if other is None else str(other),
        control_changes=() if other is None or theirs is None else control_changes(study, chosen, other, shown, theirs),
        control_contains=() if theirs is None else tuple(a for a in theirs.allergens if a not in shown.allergens),
    )


def _shown(study: Study, version: Version, measures: str) -> ReaderRecipe:
    worked = recipe(study, version)
    return worked if measures == AS_WRITTEN else worked.to(measures)


def control_changes(study: Study, chosen: Version, control: Version, text: ReaderRecipe, theirs: ReaderRecipe) -> tuple[tuple[str, str, str], ...]:
    """(ingredient, step or new step, line, line instead) of what a kitchen does otherwise when it makes the control; steps go by number.

    Parameters: text, theirs, the two as the tester reads them; which steps differ is seen from the recipes as they were written, since what
        our own trials took stands in the text too.
    """
    out: list[tuple[str, str, str]] = []
    for one, other in _replaced([x.text for x in text.lines], [x.text for x in theirs.lines]):
        out.append(("ingredient", "" if one is None else text.lines[one].text, "" if other is None else theirs.lines[other].text))
    written, instead = ({x.id: x for x in recipe_of(study, v).method} for v in (chosen, control))
    number, words = {name: i for i, name in enumerate(written, 1)}, {x.id: x.text for x in theirs.method}
    after = 0
    for name, step in instead.items():
        if name not in written:
            out.append(("new step", str(after), words[name]))
        elif written[name] != step:
            out.append(("step", str(number[name]), words[name]))
        after = number.get(name, after)
    return (*out, *(("step", str(number[name]), "") for name in written if name not in instead))


def _replaced(ours: list[str], theirs: list[str]) -> list[tuple[int | None, int | None]]:
    """Places of what differs, paired as far as they go."""
    out: list[tuple[int | None, int | None]] = []
    for kind, a, b, c, d in SequenceMatcher(None, ours, theirs, autojunk=False).get_opcodes():
        if kind != "equal":
            out += list(zip_longest(range(a, b), range(c, d)))
    return out


tester_pack.__test__ = False  # type: ignore[attr-defined]  # its name begins like a test's


def main_step(written: Recipe) -> str | None:
    """The step whose end is “done”: the last in an oven, else the last that ends by its cue, else the longest."""
    oven = [s.id for s in written.method if s.oven is not None]
    cue = [s.id for s in written.method if s.until is not None]
    timed = sorted((s for s in written.method if s.minutes is not None), key=lambda s: s.expected_minutes or 0)
    return oven[-1] if oven else cue[-1] if cue else timed[-1].id if timed else None


def answers_of(text: str | bytes) -> dict[str, Any]:
    """The answers in a file that a tester's form saved: {"version", "control", "digest", "row", "photo"}.

    Raises: StudyError when it isn't such a file.
    """
    if len(text) > LONGEST_ANSWERS:
        raise StudyError("The answers' file is larger than 12 MB: send the photograph apart.", field="answers")
    try:
        held = json.loads(text)
    except (ValueError, RecursionError):
        raise StudyError("That isn't a tester's answers: the file that the form saved ends in .json.", field="answers") from None
    if not isinstance(held, dict) or held.get("form") != FORM:
        raise StudyError("That isn't a tester's answers: the file that the form saved begins with “proofpan cross-test”.", field="answers")
    if not isinstance(held.get("format"), int) or held["format"] > FORMAT:
        raise StudyError("These answers were saved by a newer form: update proofpan to read them.", field="answers")
    answers = held.get("answers")
    if not isinstance(answers, dict):
        raise StudyError("The tester's answers are empty.", field="answers")
    photo = answers.get("photo")
    row = in_celsius(row_of(answers), str(held.get("measures", "")))
    return {**{k: str(held.get(k, "")) for k in ("version", "control", "digest")}, "row": row,
            "photo": photo if isinstance(photo, str) and photo.startswith("data:image/") else ""}


def row_of(answers: Mapping[str, Any]) -> dict[str, str]:
    """A row of a cross-test from a form's fields: `time-STEP` minutes, `unclear-LINE` ticks, `words-LINE` what troubled.

    Raises: StudyError without a tester or whether it worked.
    """
    row = {k: v for k in PLAIN if (v := _text(answers.get(k)))}
    times, unclear, words = [], [], []
    for key, value in answers.items():
        said = _text(value)
        if not said:
            continue
        if key.startswith("time-"):
            times.append(f"{key[5:]} {said}")
        elif key.startswith("unclear-") and said.casefold() not in ("no", "false", "0"):
            unclear.append(key[8:])
        elif key.startswith("words-"):
            words.append(f"{key[6:]}: {said.replace(';', ',')}")
            unclear.append(key[6:])
    row |= {k: "; ".join(dict.fromkeys(v)) for k, v in (("times", times), ("unclear", unclear), ("words", words)) if v}
    if row.get("swaps", "").casefold().strip(".") in ("no", "none", "nothing", "nein", "non"):
        del row["swaps"]
    if not row.get("tester"):
        raise StudyError("Say who cooked it: a name or initials.", field="tester")
    if not row.get("worked"):
        raise StudyError("Say whether it worked.", field="worked")
    if row.get("made"):
        try:
            date.fromisoformat(row["made"])
        except ValueError:
            raise StudyError(f"{quoted(row['made'])} isn't a date such as 2026-05-29.", field="made") from None
    return row


def in_celsius(row: dict[str, str], measures: str) -> dict[str, str]:
    """The row with oven temperatures in °C, where its form asked for °F."""
    if measures != "US":
        return row
    out = dict(row)
    for name in ("oven_c", "thermometer_c"):
        match = re.match(r"\s*(\d+(?:[.,]\d+)?)", out.get(name, ""))
        if match:
            out[name] = f"{(float(match.group(1).replace(',', '.')) - 32) / 1.8:.0f}"
    return out


def check_row(study: Study, version: Any, row: Mapping[str, str]) -> None:
    """Refuse a row that a cross-test of this version couldn't read.

    Raises: StudyError naming the field.
    """
    import pandas as pd

    cross_test(recipe_of(study, study.version(version)), pd.DataFrame([dict(row)]).astype(object))


def with_done(row: dict[str, str], main: str | None) -> dict[str, str]:
    """The row with minutes until done, where they were given for the step whose end is “done”."""
    if row.get("out_min") or main is None:
        return row
    for part in row.get("times", "").split(";"):
        match = re.fullmatch(rf"\s*{re.escape(main)}\s+(\d+(?:[.,]\d+)?).*", part)
        if match:
            return {**row, "out_min": match.group(1)}
    return row


def _text(value: Any) -> str:
    if isinstance(value, bool):
        return "yes" if value else ""
    if isinstance(value, (int, float)):
        return f"{value:g}"
    return " ".join(value.split())[:LONGEST_WORDS] if isinstance(value, str) else ""
