"""Tables as they come from outside: a DataFrame or a path to a CSV, every cell read as text first."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from proofpan.study.errors import ProofpanError, did_you_mean, quoted

if TYPE_CHECKING:
    import pandas as pd

NOT_GIVEN = {"", "nan", "none", "<na>", "nat"}
YES = {"yes", "true", "1", "y"}
NO = {"no", "false", "0", "n"}


@dataclass(frozen=True)
class Table:
    """Rows of text by column, with the file and line each came from."""

    columns: dict[str, list[str]]
    length: int
    file: str | None

    def line(self, row: int) -> int | None:
        """The line of a row in its file (the header is line 1)."""
        return None if self.file is None else row + 2

    def get(self, column: str, row: int) -> str:
        """A cell, empty where the column isn't there."""
        cells = self.columns.get(column)
        return cells[row] if cells is not None else ""


def cell(value: Any) -> str:
    """A cell as text: 190.0 is 190, NaN is empty."""
    if value is None:
        return ""
    if isinstance(value, str):
        return value.strip()
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, int):
        return str(value)
    if isinstance(value, float):
        if value != value:
            return ""
        return str(int(value)) if value.is_integer() else repr(value)
    if hasattr(value, "item"):
        return cell(value.item())
    text = str(value).strip()
    return "" if text.casefold() in NOT_GIVEN else text


def read_table(
    frame: pd.DataFrame | str | Path, known: Sequence[str], error: type[ProofpanError], required: Iterable[str] = ()
) -> Table:
    """A frame or a CSV's path as a table of text.

    Raises: the given error for a missing file, an unknown column or a missing one.
    """
    import pandas as pd

    file: str | None = None
    if isinstance(frame, (str, Path)):
        file = str(frame)
        if not Path(file).exists():
            raise error(f"There is no file {quoted(Path(file).name)}.", file=file)
        try:
            frame = pd.read_csv(file, dtype=str, keep_default_na=False, encoding="utf-8-sig", skipinitialspace=True)
        except (pd.errors.ParserError, pd.errors.EmptyDataError, UnicodeDecodeError):
            raise error("The file can't be read as CSV: one header line, commas, UTF-8.", file=file) from None
    if not isinstance(frame, pd.DataFrame):
        raise error("A table is wanted: a DataFrame, or the path to a CSV.")
    names = [str(c).strip() for c in frame.columns]
    for name in names:
        if name not in known:
            raise error(f"{quoted(name)} isn't a column here. {did_you_mean(name, list(known), most=14)}", file=file)
    for name in required:
        if name not in names:
            raise error(f"The column {quoted(name)} is missing.", file=file, line=1 if file else None)
    columns = {n: [cell(v) for v in frame.iloc[:, i].tolist()] for i, n in enumerate(names)}
    return Table(columns, len(frame), file)


def given(text: str) -> bool:
    """Whether a cell holds something."""
    return text.casefold() not in NOT_GIVEN
