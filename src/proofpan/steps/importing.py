"""Bringing in an experiment done elsewhere: a plain CSV, by naming its columns."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

from proofpan.study.errors import StudyError, did_you_mean, quoted
from proofpan.study.frames import cell, given
from proofpan.study.study import Study

if TYPE_CHECKING:
    import pandas as pd


def import_scores(
    frame: pd.DataFrame | str | Path, *, factors: Sequence[str], scores: Sequence[str], taster: str | None = None,
    round_: str | None = None, load: str | None = None, trial: Sequence[str] = (), pass_: str | None = None, title: str | None = None,
    question: str = "", worth: float | Mapping[str, float] | None = None, scale: Mapping[str, tuple[float, float]] | None = None,
    better: Mapping[str, Any] | None = None, numeric: Sequence[str] = (), blind: bool = True,
) -> Study:
    """A study from a table with a row a score sheet.

    Parameters: frame, a DataFrame or a CSV's path (cells are read as text, so that "None" is a word and 007 keeps its noughts);
        factors, columns of what varied; scores, columns of what was judged or measured; taster, column of who judged (without one
        the readings count as one taster's); round_, load, columns of the day or session and of the oven load; trial, columns that
        together say which make a row is of (default: round, load and factors); pass_, column of the repeat; worth, the smallest
        difference that matters by score (default: a twentieth of the scale); scale, the ends by score (default: round ends that hold
        the data); better, by score; numeric, factors whose options are ordered numbers.

    Raises: StudyError for a missing column, an empty table or a score that isn't a number.
    """
    table = _read(frame)
    wanted = [*factors, *scores, *trial, *(c for c in (taster, round_, load, pass_) if c)]
    for column in wanted:
        if column not in table:
            raise StudyError(f"{quoted(column)} isn't a column of the table. {did_you_mean(column, list(table))}")
    if not factors or not scores:
        raise StudyError("Say which columns are what varied (factors) and which are what was judged (scores).")
    length = len(next(iter(table.values())))
    keep = [i for i in range(length) if all(given(table[f][i]) or table[f][i].casefold() == "none" for f in factors)]
    if not keep:
        raise StudyError("The table holds no row with an option of everything that varied.")
    values = {s: _numbers(table[s], s) for s in scores}
    tasters = _ordered({table[taster][i] for i in keep}) if taster else ["The readings"]
    study = Study.from_dict({
        "title": title or "An experiment brought in", "question": question, "tasters": tasters, "blind": blind,
        "attributes": [_attribute(s, values[s], worth, scale or {}, better or {}, taster is None) for s in scores],
        "factors": [_factor(f, [table[f][i] for i in keep], f in numeric) for f in factors],
        "rounds": {"loads": 1, "at_most": 1},
    })
    return _with_rows(study, table, keep, factors, scores, values, taster, round_, load, trial, pass_)


def _read(frame: pd.DataFrame | str | Path) -> dict[str, list[str]]:
    import pandas as pd

    if isinstance(frame, (str, Path)):
        if not Path(frame).exists():
            raise StudyError(f"There is no file {quoted(Path(frame).name)}.", file=str(frame))
        try:
            frame = pd.read_csv(frame, dtype=str, keep_default_na=False, encoding="utf-8-sig")
        except (pd.errors.ParserError, pd.errors.EmptyDataError, UnicodeDecodeError):
            raise StudyError("The file can't be read as CSV: one header line, commas, UTF-8.", file=str(frame)) from None
    return {str(c).strip(): [cell(v) for v in frame[c].tolist()] for c in frame.columns}


def _numbers(column: list[str], name: str) -> list[float | None]:
    out: list[float | None] = []
    for row, text in enumerate(column):
        if not given(text) or text in ("NA", "."):
            out.append(None)
            continue
        try:
            out.append(float(text))
        except ValueError:
            raise StudyError(f"{quoted(text)} isn't a number.", line=row + 2, field=name) from None
    return out


def _ordered(names: set[str]) -> list[str]:
    """Names in their natural order: numbers by size, words by letters."""
    def key(name: str) -> tuple[int, float, str]:
        try:
            return (0, float(name), name)
        except ValueError:
            return (1, 0.0, name)

    return sorted(names, key=key)


def _attribute(name: str, values: list[float | None], worth: Any, scale: Mapping[str, Any], better: Mapping[str, Any],
               measured: bool) -> dict[str, Any]:
    there = [v for v in values if v is not None]
    low, high = scale.get(name) or _round_ends(there)
    size = worth.get(name) if isinstance(worth, Mapping) else worth
    return {"name": name, "scale": [low, high], "better": better.get(name, "more"), "weight": 1,
            **({"measured": True} if measured else {}),
            "worth": size if size is not None else (high - low) / 20}


def _round_ends(values: list[float]) -> tuple[float, float]:
    """Ends that hold the data: 0–10 where they fit, else powers and halves of ten around them."""
    if not values or (min(values) >= 0 and max(values) <= 10):
        return (0.0, 10.0)
    span = max(max(values) - min(values), 1e-9)
    step = 10.0 ** np.floor(np.log10(span))
    low = 0.0 if 0 <= min(values) < span else float(np.floor(min(values) / step) * step)
    return (low, float(np.ceil(max(values) / step + 1e-9) * step))


def _factor(name: str, column: list[str], numeric: bool) -> dict[str, Any]:
    options: list[dict[str, Any]] = [{"name": o} for o in _ordered(set(column))]
    if numeric:
        options = [{**o, "value": float(o["name"])} for o in options]
    return {"name": name, "options": options}


def _with_rows(
    study: Study, table: dict[str, list[str]], keep: list[int], factors: Sequence[str], scores: Sequence[str],
    values: dict[str, list[float | None]], taster: str | None, round_: str | None, load: str | None, trial: Sequence[str],
    pass_: str | None,
) -> Study:
    import pandas as pd

    rounds = {n: i for i, n in enumerate(_ordered({table[round_][i] for i in keep}), 1)} if round_ else {}
    makes: dict[tuple[str, ...], int] = {}
    loads: dict[tuple[str, ...], int] = {}
    trials, ballots = [], []
    told = list(dict.fromkeys([*([round_] if round_ else []), *([load] if load else []), *trial, *factors]))
    keys = {i: tuple(table[c][i] for c in told) for i in keep}
    passes: dict[tuple[Any, ...], int] = {}
    for i in sorted(keep, key=lambda i: keys[i]):
        number = rounds.get(table[round_][i], 1) if round_ else 1
        if keys[i] not in makes:
            makes[keys[i]] = len(makes) + 1
            row: dict[str, Any] = {"round": number, "trial": makes[keys[i]], "version": "; ".join(f"{f}={table[f][i]}" for f in factors)}
            if load:
                row["load"] = loads.setdefault((str(number), table[load][i]), len(loads) + 1)
            trials.append(row)
        who = table[taster][i] if taster else study.tasters[0]
        plate = (number, makes[keys[i]], who)
        turn = int(float(table[pass_][i])) if pass_ else passes.get(plate, 0) + 1
        passes[plate] = turn
        ballots += [
            {"round": number, "taster": who, "trial": makes[keys[i]], "attribute": s, "score": values[s][i], "pass": turn}
            for s in scores if values[s][i] is not None
        ]
    return study.with_trials(pd.DataFrame(trials)).with_ballots(pd.DataFrame(ballots))
