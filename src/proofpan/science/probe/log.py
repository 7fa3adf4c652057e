"""A logger's CSV → times and temperatures, by naming the columns."""

from __future__ import annotations

import csv
import math
import re
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, datetime

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
_CLOCKS = ("%H:%M:%S.%f", "%H:%M:%S", "%H:%M", "%I:%M:%S %p", "%I:%M %p")
_DAY_FIRST = tuple(f"%d{sign}%m{sign}{year} {clock}" for sign in "/-" for year in ("%Y", "%y") for clock in _CLOCKS)
_MONTH_FIRST = tuple(f"%m{sign}%d{sign}{year} {clock}" for sign in "/-" for year in ("%Y", "%y") for clock in _CLOCKS)
FURTHEST_HEADER = 60
COLDEST_C, HOTTEST_C = -60.0, 550.0  # loggers write -127, 850 or 9999 for a probe that isn't there
LONGEST_STEPS, SHORTEST_GAP_S = 5.0, 60.0


@dataclass(frozen=True, eq=False)
class ProbeLog:
    """One probe's temperatures over time.

    Attributes:
        times_s: shape (n,), seconds from the first reading, rising.
        temperature_c: shape (n,), degrees Celsius.
        skipped: rows left out because the logger wrote no temperature there.
        notes: sentences on what was left out, averaged or missing.
    """

    times_s: NDArray[np.floating]
    temperature_c: NDArray[np.floating]
    skipped: int = 0
    notes: tuple[str, ...] = ()


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
    text = text.strip()
    if "," in text and "." not in text and text.count(",") == 1 or decimal_comma:
        text = text.replace(",", ".")
    try:
        value = float(text)
    except ValueError:
        return None
    return value if math.isfinite(value) else None


def _temperature(text: str, decimal_comma: bool, unit: str) -> float | None:
    """Degrees Celsius; a unit written beside the figure counts before the one that was named for the column."""
    text = text.strip()
    if text[-1:].upper() in ("C", "F"):
        unit, text = text[-1].upper(), text[:-1].rstrip("°º ˚")
    value = _number(text, decimal_comma)
    return None if value is None else (value - 32) / 1.8 if unit == "F" else value


def _clock(text: str, day_first: bool = True) -> tuple[float, bool] | None:
    """Seconds, and whether they are of a day's clock (and may pass midnight)."""
    text = text.strip().replace("T", " ").removesuffix("Z")
    try:
        return _since(datetime.fromisoformat(text)), False
    except ValueError:
        pass
    for stamp in (*_STAMPS, *(_DAY_FIRST if day_first else _MONTH_FIRST)):
        try:
            return _since(datetime.strptime(text, stamp)), False
        except ValueError:
            continue
    half = re.fullmatch(r"(\d{1,2}(?::\d{2}){1,2}(?:\.\d+)?)\s*([AaPp])\.?[Mm]\.?", text)
    parts = (half[1] if half else text).split(":")
    if len(parts) in (2, 3) and all(p.replace(".", "", 1).isdigit() for p in parts):
        hours, minutes, seconds = [*map(float, parts), 0.0][:3]
        if half:
            hours = hours % 12 + (12 if half[2] in "Pp" else 0)
        return hours * 3600 + minutes * 60 + seconds, True
    return None


def _since(at: datetime) -> float:
    """Seconds as the logger's own clock ran: this computer's time zone has no part in it."""
    at = at.astimezone(UTC).replace(tzinfo=None) if at.tzinfo else at
    return (at - datetime(1970, 1, 1)).total_seconds()


def _column(header: list[str], wanted: str) -> int | None:
    """The column of that name, else the only one whose name begins with it (Time (s) for time)."""
    plain = [name.strip().lower() for name in header]
    name = wanted.strip().lower()
    if name in plain:
        return plain.index(name)
    like = [i for i, one in enumerate(plain) if one.startswith(name) and _is_unit(one[len(name) :].strip())]
    return like[0] if len(like) == 1 and name else None


def _is_unit(rest: str) -> bool:
    """What may follow a column's name: a unit, in brackets or bare; not the rest of a sentence."""
    return rest[:1] in tuple("([°º_/:") or rest in ("s", "sec", "min", "h", "c", "f", "deg c", "deg f")


def _cells(lines: list[str], delimiter: str) -> Iterator[list[str]]:
    try:
        yield from csv.reader(lines, delimiter=delimiter)
    except csv.Error:
        raise ProbeError("The log has a line that no spreadsheet could read; export it as CSV again.") from None


def _header(lines: list[str], time_column: str, temperature_column: str) -> tuple[int, str, list[str]]:
    """(line, delimiter, names): loggers write a few lines about themselves first, so the first line that has both columns."""
    for i, line in enumerate(lines[:FURTHEST_HEADER]):
        for delimiter in sorted(";\t,", key=line.count, reverse=True):
            names = next(_cells([line], delimiter), [])
            found = {_column(names, time_column), _column(names, temperature_column)}
            if None not in found and len(found) == 2:
                return i, delimiter, names
    filled = [line for line in lines[:FURTHEST_HEADER] if line.strip()]
    if not filled:
        raise ProbeError("The log is empty; its first line should name the columns.")
    if time_column.strip().lower() == temperature_column.strip().lower():
        raise ProbeError("Times and temperatures can't be one column; name both.")
    widest = max(filled, key=lambda line: max(map(line.count, ";\t,")))
    names = next(_cells([widest], max(";\t,", key=widest.count)), [])
    missing = next((w for w in (time_column, temperature_column) if _column(names, w) is None), time_column)
    named = ", ".join(repr(n.strip()[:40]) for n in names[:6])
    raise ProbeError(f"The log has no column {missing!r}; its columns are {named}.")


def read_log(
    text: str, *, time_column: str, temperature_column: str, time_unit: str = "s", temperature_unit: str = "C"
) -> ProbeLog:
    """Read any logger's CSV text: comma, semicolon or tab; decimal comma; numbers, clock times or date and time.

    Parameters:
        time_unit: of plain numbers: s, min or h; a clock (12:30:05, 1:30 PM) or a date with a time needs none.
        temperature_unit: "C" or "F"; empty takes it from the column's name, else C. One written beside a figure counts before it.
    Returns: readings in order of time. A log written newest first is turned round; readings of one moment are averaged; figures no food
        has (a logger's sign for a broken probe) are left out; a long gap is left as a straight line. Each is counted and said in `notes`.
    Raises: ProbeError, naming the line where a time can't be read, or the columns there are.
    """
    if time_unit not in _SECONDS:
        raise ProbeError(f"The time unit {time_unit!r} isn't known; use s, min or h.")
    if temperature_unit not in ("C", "F", ""):
        raise ProbeError(f"The temperature unit {temperature_unit!r} isn't known; use C or F.")
    lines = text.lstrip("\ufeff").splitlines()
    first, delimiter, header = _header(lines, time_column, temperature_column)
    when, what = _column(header, time_column), _column(header, temperature_column)
    assert when is not None and what is not None
    temperature_unit = temperature_unit or _unit_of(header[what]) or "C"
    comma = delimiter != ","
    rows: list[tuple[int, str, float]] = []
    skipped = odd = 0
    for number, row in enumerate(_cells(lines[first + 1 :], delimiter), start=first + 2):
        if not any(cell.strip() for cell in row):
            continue
        value = _temperature(row[what], comma, temperature_unit) if len(row) > max(what, when) else None
        if value is None:
            skipped += 1
        elif not COLDEST_C <= value <= HOTTEST_C:
            odd += 1
        else:
            rows.append((number, row[when], value))
    if len(rows) < 2:
        raise ProbeError(f"The log has {len(rows)} readings in the column {temperature_column!r}; two are needed.")
    times = _times(rows, comma, _SECONDS[time_unit])
    return _in_order(np.array(times), np.array([value for _, _, value in rows]), skipped, odd, _unit_note(header[what], temperature_unit))


def _unit_of(name: str) -> str:
    """C or F, as a column's name says it: Temp (°F), core_C; empty where it doesn't."""
    said = re.search(r"(?:[°º˚(\[_\s]|deg)\s*([CF])\b", name, re.IGNORECASE)
    return said[1].upper() if said else ""


def _unit_note(name: str, unit: str) -> list[str]:
    if _unit_of(name) not in ("", unit):
        return [f"The column is called “{name.strip()[:40]}”, yet it was read as °{unit}: check the unit."]
    return []


def _times(rows: list[tuple[int, str, float]], comma: bool, unit_s: float) -> list[float]:
    """Seconds of each row; 03/05/2026 is read the way that makes the log shorter."""
    tries = []
    for day_first in (True, False):
        try:
            tries.append(_seconds(rows, comma, unit_s, day_first))
        except ProbeError:
            if tries:
                break
            if not day_first:
                raise
    return min(tries, key=lambda times: max(times) - min(times))


def _seconds(rows: list[tuple[int, str, float]], comma: bool, unit_s: float, day_first: bool) -> list[float]:
    times: list[float] = []
    day = 0.0
    for number, text, _ in rows:
        plain = _number(text, comma)
        if plain is not None:
            times.append(plain * unit_s)
            continue
        clock = _clock(text, day_first)
        if clock is None:
            raise ProbeError(f"Line {number}: {text[:40]!r} isn't a time; write seconds, 12:30:05 or 2026-05-03 12:30.")
        seconds, passes_midnight = clock
        if passes_midnight and times and seconds + day < times[-1] - 43200:
            day += 86400
        times.append(seconds + (day if passes_midnight else 0))
    return times


def _in_order(times: NDArray[np.floating], values: NDArray[np.floating], skipped: int, odd: int, notes: list[str]) -> ProbeLog:
    """Turned round, averaged over one moment, and with its gaps found."""
    if times[0] > times[-1] and (np.diff(times) <= 0).all():
        times, values = times[::-1], values[::-1]
    if skipped:
        notes.append(f"{skipped} row{'s' * (skipped > 1)} without a temperature left out.")
    if odd:
        notes.append(f"{odd} figure{'s' * (odd > 1)} outside {COLDEST_C:g} to {HOTTEST_C:g} °C left out: the logger's sign for a broken probe?")
    if (np.diff(times) >= 0).all() and (np.diff(times) == 0).any():
        moments, place = np.unique(times, return_inverse=True)
        if moments.size > 1:
            count = np.bincount(place)
            values = np.bincount(place, values) / count
            notes.append(f"{times.size - moments.size} readings share a time with another: their means were taken.")
            times = moments
    log = probe_log(times, values, skipped)
    steps = np.diff(log.times_s)
    usual = float(np.median(steps))
    wide = np.flatnonzero(steps > max(LONGEST_STEPS * usual, SHORTEST_GAP_S))
    if wide.size:
        at = int(wide[np.argmax(steps[wide])])
        notes.append(f"No reading for {steps[at] / 60:.0f} minutes from minute {log.times_s[at] / 60:.0f} on"
                     f"{f' (and {wide.size - 1} shorter gaps)' if wide.size > 1 else ''}: what happened there isn't known, a straight line is drawn.")
    return ProbeLog(log.times_s, log.temperature_c, skipped, tuple(notes))
