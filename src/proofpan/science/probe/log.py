"""A logger's CSV → times and temperatures, by naming the columns."""

from __future__ import annotations

import csv
import io
import math
from dataclasses import dataclass
from datetime import datetime

import numpy as np
from numpy.typing import ArrayLike, NDArray

from .errors import ProbeError

_SECONDS = {"s": 1.0, "seconds": 1.0, "min": 60.0, "minutes": 60.0, "h": 3600.0, "hours": 3600.0}
_STAMPS = (
    "%Y-%m-%d %H:%M:%S.%f",
    "%Y-%m-%d %H:%M:%S",
    "%Y-%m-%d %H:%M",
    "%Y/%m/%d %H:%M:%S",
    "%d.%m.%Y %H:%M:%S",
    "%d.%m.%Y %H:%M",
)


@dataclass(frozen=True, eq=False)
class ProbeLog:
    """One probe's temperatures over time.

    Attributes:
        times_s: shape (n,), seconds from the first reading, rising.
        temperature_c: shape (n,), degrees Celsius.
        skipped: rows left out because the logger wrote no temperature there.
    """

    times_s: NDArray[np.floating]
    temperature_c: NDArray[np.floating]
    skipped: int = 0


def probe_log(times_s: ArrayLike, temperature_c: ArrayLike, skipped: int = 0) -> ProbeLog:
    """Check and freeze a log given as arrays.

    Raises: ProbeError, with fewer than two readings, times that don't rise, or figures that aren't finite.
    """
    t, c = np.array(times_s, dtype=float), np.array(temperature_c, dtype=float)
    if t.ndim != 1 or t.shape != c.shape or t.size < 2:
        raise ProbeError(
            f"A log needs at least two readings, each with a time; {t.size} times and {c.size} temperatures came."
        )
    if not (np.isfinite(t).all() and np.isfinite(c).all()):
        raise ProbeError("Every time and temperature of a log must be a number.")
    steps = np.diff(t)
    if not (steps > 0).all():
        at = int(np.argmin(steps > 0))
        raise ProbeError(f"Times must rise; reading {at + 2} isn't later than reading {at + 1}.")
    t -= t[0]
    for array in (t, c):
        array.setflags(write=False)
    return ProbeLog(t, c, skipped)


def _number(text: str, decimal_comma: bool) -> float | None:
    text = text.strip().removesuffix("°C").removesuffix("°F").removesuffix("C").removesuffix("F").strip()
    if decimal_comma:
        text = text.replace(",", ".")
    try:
        value = float(text)
    except ValueError:
        return None
    return value if math.isfinite(value) else None


def _clock(text: str) -> tuple[float, bool] | None:
    """Seconds, and whether they are of a day's clock (and may pass midnight)."""
    text = text.strip().replace("T", " ").removesuffix("Z")
    try:
        return datetime.fromisoformat(text).timestamp(), False
    except ValueError:
        pass
    for stamp in _STAMPS:
        try:
            return datetime.strptime(text, stamp).timestamp(), False
        except ValueError:
            continue
    parts = text.split(":")
    if len(parts) in (2, 3) and all(p.replace(".", "", 1).isdigit() for p in parts):
        hours, minutes, seconds = [*map(float, parts), 0.0][:3]
        return hours * 3600 + minutes * 60 + seconds, True
    return None


def _column(header: list[str], wanted: str) -> int:
    plain = [name.strip().lower() for name in header]
    if wanted.strip().lower() in plain:
        return plain.index(wanted.strip().lower())
    named = ", ".join(repr(n.strip()) for n in header[:6])
    raise ProbeError(f"The log has no column {wanted!r}; its columns are {named}.")


def read_log(
    text: str, *, time_column: str, temperature_column: str, time_unit: str = "s", temperature_unit: str = "C"
) -> ProbeLog:
    """Read any logger's CSV text: comma, semicolon or tab; decimal comma; numbers, clock times or date and time.

    Parameters:
        time_unit: of plain numbers: s, min or h; a clock (12:30:05) or a date with a time needs none.
        temperature_unit: "C" or "F".
    Raises: ProbeError, naming the line where a time can't be read, or the columns there are.
    """
    if time_unit not in _SECONDS:
        raise ProbeError(f"The time unit {time_unit!r} isn't known; use s, min or h.")
    if temperature_unit not in ("C", "F"):
        raise ProbeError(f"The temperature unit {temperature_unit!r} isn't known; use C or F.")
    lines = text.lstrip("\ufeff").splitlines()
    # loggers write a few lines about themselves first: the header is the first line that has both names
    wanted = (time_column.strip().lower(), temperature_column.strip().lower())
    first = next((i for i, line in enumerate(lines) if all(w in line.lower() for w in wanted)), 0)
    if not lines or not lines[first].strip():
        raise ProbeError("The log is empty; its first line should name the columns.")
    delimiter = max(";\t,", key=lines[first].count)
    rows = csv.reader(io.StringIO("\n".join(lines[first:])), delimiter=delimiter)
    header = next(rows)
    when, what = _column(header, time_column), _column(header, temperature_column)
    times: list[float] = []
    temperatures: list[float] = []
    skipped, day = 0, 0.0
    for number, row in enumerate(rows, start=first + 2):
        if not any(cell.strip() for cell in row):
            continue
        value = _number(row[what], delimiter != ",") if len(row) > what else None
        if value is None:
            skipped += 1
            continue
        plain = _number(row[when], delimiter != ",")
        if plain is not None:
            seconds = plain * _SECONDS[time_unit]
        else:
            clock = _clock(row[when])
            if clock is None:
                raise ProbeError(
                    f"Line {number}: {row[when]!r} isn't a time; write seconds, 12:30:05 or 2026-05-03 12:30."
                )
            seconds, passes_midnight = clock
            if passes_midnight and times and seconds + day < times[-1] - 43200:
                day += 86400
            seconds += day if passes_midnight else 0
        times.append(seconds)
        temperatures.append((value - 32) / 1.8 if temperature_unit == "F" else value)
    if len(times) < 2:
        raise ProbeError(f"The log has {len(times)} readings in the column {temperature_column!r}; two are needed.")
    return probe_log(times, temperatures, skipped)
