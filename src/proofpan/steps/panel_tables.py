"""Tasting answers brought in from a CSV or a frame: the columns of each kind of ballot, read as text first, each slip with its line."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from proofpan.steps import panels
from proofpan.steps.panels import PanelAnswer
from proofpan.study.errors import BallotError, did_you_mean, quoted
from proofpan.study.frames import NO, YES, cell, given
from proofpan.study.words import joined

if TYPE_CHECKING:
    import pandas as pd

ROLES: dict[str, tuple[str, ...]] = {
    **dict.fromkeys(panels.FORCED, ("right",)), "preference": ("preferred", "other"), "ranking": ("taster", "plate", "rank"),
    "liking": ("taster", "plate", "score"), "just right": ("answer", "liking"), "difference from control": ("taster", "plate", "score"),
    "agreement": ("taster", "plate", "score"), "yes or no": ("taster", "plate", "answer"), "studies": ("study", "estimate", "se"),
}
"""The columns that each kind needs; `taster` counts repeats where it is there, `plate` parts just-right answers."""

KINDS = tuple(ROLES)
SIDES = {"too little": -1.0, "not enough": -1.0, "just right": 0.0, "just about right": 0.0, "too much": 1.0}


@dataclass(frozen=True)
class Answers:
    """The columns asked for, as text, with the file they came from."""

    columns: Mapping[str, list[str]]
    names: Mapping[str, str]
    file: str | None
    length: int

    def fail(self, says: str, row: int | None, role: str) -> BallotError:
        """A slip with its place."""
        return BallotError(says, file=self.file, line=None if row is None or self.file is None else row + 2, field=self.names.get(role, role))

    def text(self, role: str) -> list[str]:
        """A column, every cell given."""
        for row, value in enumerate(self.columns[role]):
            if not given(value):
                raise self.fail(f"The cell under {quoted(self.names[role])} is empty.", row, role)
        return self.columns[role]

    def numbers(self, role: str) -> list[float]:
        """A column of numbers, every cell given."""
        out = []
        for row, value in enumerate(self.text(role)):
            try:
                number = float(value.replace(",", "."))
            except ValueError:
                number = float("nan")
            if number != number or number in (float("inf"), float("-inf")):
                raise self.fail(f"{quoted(value)} isn't a number.", row, role)
            out.append(number)
        return out

    def truths(self, role: str) -> list[bool]:
        """A column of yes and no (true and false, 1 and 0, right and wrong)."""
        out = []
        for row, value in enumerate(self.text(role)):
            low = value.casefold()
            if low not in YES | NO | {"right", "wrong"}:
                raise self.fail(f"{quoted(value)} is neither yes nor no.", row, role)
            out.append(low in YES | {"right"})
        return out

    def sides(self, role: str) -> list[float]:
        """Just-about-right answers: numbers below, at or above 0, or the words."""
        out = []
        for row, value in enumerate(self.text(role)):
            low = value.casefold().removeprefix("much ").removeprefix("a little ")
            try:
                out.append(SIDES[low] if low in SIDES else float(low))
            except ValueError:
                raise self.fail(f"{quoted(value)} is neither too little, just right, too much nor a number.", row, role) from None
        return out


def panel(
    frame: pd.DataFrame | str | Path, kind: str, columns: Mapping[str, str] | None = None, *, control: str = "", order: Sequence[str] = (),
    thing: str = "it", unit: str = "points",
) -> PanelAnswer:
    """What a table of answers says.

    Parameters: frame, a DataFrame or a CSV's path, a row an answer; kind, one of KINDS; columns, where a column isn't named as its role
        (`{"taster": "judge"}`); control, the plate that is the control; order, plates from worst to best as expected; thing, what was just
        right or not; unit, of marks or effects.

    Raises: BallotError for an unknown kind, a missing column or an answer that can't be read, with its line.
    """
    kind = kind.replace("_", " ").replace("two out of five", "two-out-of-five").strip().casefold()
    if kind not in ROLES:
        raise BallotError(f"{quoted(kind)} isn't a kind of ballot. {did_you_mean(kind, list(KINDS), most=20)}", field="kind")
    answers = _read(frame, kind, columns or {})
    if not answers.length:
        raise BallotError("The table holds no answer.", file=answers.file)
    return _READERS.get(kind, _forced(kind))(answers, _Asked(control, tuple(order), thing, unit))


@dataclass(frozen=True)
class _Asked:
    control: str
    order: tuple[str, ...]
    thing: str
    unit: str


def _read(frame: pd.DataFrame | str | Path, kind: str, columns: Mapping[str, str]) -> Answers:
    import pandas as pd

    file: str | None = None
    if isinstance(frame, (str, Path)):
        file = str(frame)
        if not Path(file).exists():
            raise BallotError(f"There is no file {quoted(Path(file).name)}.", file=file)
        try:
            frame = pd.read_csv(file, dtype=str, keep_default_na=False, encoding="utf-8-sig", skipinitialspace=True)
        except (pd.errors.ParserError, pd.errors.EmptyDataError, UnicodeDecodeError):
            raise BallotError("The file can't be read as CSV: one header line, commas, UTF-8.", file=file) from None
    there = {str(c).strip(): [cell(v) for v in frame.iloc[:, i].tolist()] for i, c in enumerate(frame.columns)}
    wanted = [*ROLES[kind], *(r for r in ("taster", "plate", "variance") if columns.get(r, r) in there and r not in ROLES[kind])]
    if kind == "studies" and "variance" in wanted and columns.get("se", "se") not in there:
        wanted.remove("se")
    names = {role: columns.get(role, role) for role in wanted}
    for role, name in names.items():
        if name not in there:
            option = "" if role not in OPTIONS else f" Name the column with --{role}."
            says = f"The column {quoted(name)} is missing: {kind} needs {joined(ROLES[kind])}.{option}"
            raise BallotError(says, file=file, line=1 if file else None, field=name)
    rows = [i for i in range(len(frame)) if any(given(there[n][i]) for n in names.values())]
    return Answers({role: [there[name][i] for i in rows] for role, name in names.items()}, names, file, len(rows))


OPTIONS = tuple(dict.fromkeys(role for roles in ROLES.values() for role in roles))


def _who(answers: Answers) -> list[str]:
    return answers.columns.get("taster", [])


def _forced(kind: str) -> Callable[[Answers, _Asked], PanelAnswer]:
    return lambda answers, asked: panels.forced_choice(kind, answers.truths("right"), _who(answers))


def _ranks(answers: Answers, asked: _Asked) -> PanelAnswer:
    return panels.ranking(answers.text("taster"), answers.text("plate"), answers.numbers("rank"), asked.order)


def _just_right(answers: Answers, asked: _Asked) -> PanelAnswer:
    plates = answers.columns.get("plate") or [""] * answers.length
    return panels.just_right(plates, answers.sides("answer"), answers.numbers("liking"), asked.thing)


def _from_control(answers: Answers, asked: _Asked) -> PanelAnswer:
    if not asked.control:
        raise BallotError("Say which plate is the control.", field="control")
    return panels.from_control(answers.text("taster"), answers.text("plate"), answers.numbers("score"), asked.control)


def _studies(answers: Answers, asked: _Asked) -> PanelAnswer:
    column = "se" if "se" in answers.columns else "variance"
    spread = answers.numbers(column)
    bad = next((i for i, x in enumerate(spread) if x <= 0), None)
    if bad is not None:
        raise answers.fail(f"{quoted(answers.columns[column][bad])} must be above 0: every study's effect has some error.", bad, column)
    return panels.studies(answers.text("study"), answers.numbers("estimate"), [x * x for x in spread] if column == "se" else spread, asked.unit)


_READERS: dict[str, Callable[[Answers, _Asked], PanelAnswer]] = {
    "preference": lambda a, asked: panels.preference(a.text("preferred"), a.text("other"), _who(a)),
    "ranking": _ranks,
    "liking": lambda a, asked: panels.liking(a.text("taster"), a.text("plate"), a.numbers("score"), asked.unit),
    "just right": _just_right,
    "difference from control": _from_control,
    "agreement": lambda a, asked: panels.agreement(a.text("taster"), a.text("plate"), a.numbers("score")),
    "yes or no": lambda a, asked: panels.yes_or_no(a.text("taster"), a.text("plate"), a.truths("answer")),
    "studies": _studies,
}
