"""A table of what was cooked before anything was planned, as a spreadsheet saves it: a row a trial, with its date and, if there is one, its mark."""

from __future__ import annotations

import csv
import io
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from proofpan.study.errors import StudyError, TrialError, did_you_mean
from proofpan.study.study import Study

if TYPE_CHECKING:
    import pandas as pd

LARGEST = 1_000_000
OF_A_TRIAL = ("round", "trial", "start", "out", "core_c", "lot", "weighed", "failed", "note", "blind")
OF_A_MARK = ("taster", "attribute", "score")
ALSO = {"date": "start", "when": "start", "mark": "score", "notes": "note"}
Row = dict[str, str]


def rows_of(data: bytes) -> list[Row]:
    """The table's rows by column, names in small letters.

    Raises: TrialError.
    """
    if len(data) > LARGEST:
        raise TrialError("A table holds at most 1 MB.", field="table")
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise TrialError(f"The table isn't UTF-8 text (byte {error.start}): save it as CSV in UTF-8.", field="table") from None
    first = text.partition("\n")[0]
    separator = max((",", ";", "\t"), key=first.count)
    lines = [line for line in csv.reader(io.StringIO(text), delimiter=separator) if any(cell.strip() for cell in line)]
    if len(lines) < 2:
        raise TrialError("The table has no rows: name its columns in the first line, such as version, date, score, note.", field="table")
    names = [ALSO.get(n.strip().casefold(), n.strip().casefold()) for n in lines[0]]
    return [{n: cell.strip() for n, cell in zip(names, line, strict=False) if n and cell.strip()} for line in lines[1:]]


def trials_and_marks(study: Study, rows: Sequence[Row]) -> tuple[list[Row], list[Row]]:
    """(rows of trials, rows of ballots), numbered after what is there: without numbers each row is a trial of its own, and each date a round.

    Raises: TrialError naming the line.
    """
    _check_names(study, rows)
    number = max((t.trial for t in study.trial_records), default=0)
    last_round = max((t.round for t in study.trial_records), default=0)
    rounds: dict[str, int] = {}
    trials: dict[tuple[str, str], Row] = {}
    marks: list[Row] = []
    for at, row in enumerate(rows, 2):
        number += "trial" not in row
        day = row.get("start", "")[:10]
        round_ = row.get("round") or str(rounds.setdefault(day, last_round + 1 + len(rounds)))
        trial = row.get("trial") or str(number)
        if (round_, trial) not in trials:
            held = {k: row[k] for k in OF_A_TRIAL if k in row}
            trials[(round_, trial)] = {"blind": "no", "failed": "no", **held, "round": round_, "trial": trial, "version": _version(study, row, at)}
        if "score" in row:
            who = {"taster": row.get("taster") or study.tasters[0], "attribute": row.get("attribute") or study.attributes[0].name}
            marks.append({"round": round_, "trial": trial, **who, "score": row["score"].replace(",", ".")})
    return list(trials.values()), marks


def as_frame(rows: list[Row]) -> pd.DataFrame:
    """Rows as a frame of texts; what a row doesn't say is empty."""
    import pandas as pd

    return pd.DataFrame(rows, dtype=object).fillna("")


def _check_names(study: Study, rows: Sequence[Row]) -> None:
    factors = [f.name.casefold() for f in study.factors]
    known = ["version", *OF_A_TRIAL, *OF_A_MARK, *factors]
    for name in dict.fromkeys(n for row in rows for n in row):
        if name not in known:
            raise TrialError(f"“{name[:40]}” isn't a column here. {did_you_mean(name, known)}", field="table")


def _version(study: Study, row: Mapping[str, str], at: int) -> str:
    text = row.get("version", "")
    if not text:
        text = "; ".join(f"{f.name}={row[f.name.casefold()]}" for f in study.factors if f.name.casefold() in row)
    elif "=" not in text and len(study.factors) == 1:
        text = f"{study.factors[0].name}={text}"
    if not text:
        raise TrialError(f"Line {at} doesn't say what was cooked: name the version, or the option of each thing that varies.", field="table")
    try:
        return str(study.version(text))
    except StudyError as error:
        raise TrialError(f"Line {at}: {error.what}", field="table") from None
