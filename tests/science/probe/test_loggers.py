"""Logs as loggers really write them."""

import pytest

from proofpan.science.probe import ProbeError, read_log

ROWS = [(t, 20 + t / 20) for t in range(0, 1201, 20)]


def log(lines, header="time,temperature", **how):
    return read_log(header + "\n" + "\n".join(lines), **{"time_column": "time", "temperature_column": "temperature", **how})


def stamp(t, start=23 * 3600 + 50 * 60):
    s = (start + t) % 86400
    return f"{s // 3600:02d}:{s // 60 % 60:02d}:{s % 60:02d}"


def half(t):
    s = 13 * 3600 + t
    return f"{s // 3600 % 12}:{s // 60 % 60:02d}:{s % 60:02d} PM"


@pytest.mark.parametrize("lines, how", [
    ([f'{t},"{c:.1f}"'.replace(".", ",") for t, c in ROWS], {}),
    ([f"{t},{1.8 * c + 32:.1f} °F" for t, c in ROWS], {}),
    ([f"{stamp(t)},{c}" for t, c in ROWS], {}),
    ([f"{t},{c}" for t, c in ROWS[::-1]], {}),
    ([f"{t},{c}" for t, c in ROWS for _ in range(2)], {}),
    ([f"5/3/2026 {half(t)},{c}" for t, c in ROWS], {}),
    ([f"{t},{1.8 * c + 32}" for t, c in ROWS], {"header": "time,Temperature (°F)", "temperature_unit": ""}),
    ([f"{t},{c}" for t, c in ROWS], {"header": "Temperature logger, time 3\n\nTime (s),Temperature (C)"}),
    ([f"{t},{c if t != 400 else -127}" for t, c in ROWS], {}),
], ids=["decimal comma", "unit beside", "midnight", "newest first", "twice", "US clock", "Fahrenheit by name", "preamble", "broken probe"])
def test_every_logger_gives_the_same_log(lines, how):
    made = log(lines, **how)
    assert made.times_s[-1] == 1200 and made.temperature_c[-1] == pytest.approx(80, abs=0.06) and made.temperature_c.min() == pytest.approx(20)


def test_midnight_between_two_days_is_read_the_way_that_makes_the_log_shorter():
    made = log([f"{'03' if t < 600 else '04'}/05/2026 {stamp(t)},{c}" for t, c in ROWS])
    assert made.times_s[-1] == 1200


@pytest.mark.parametrize("lines, how, says", [
    ([f"{t},{c}" for t, c in ROWS if not 200 < t < 900], {}, "No reading for 12 minutes"),
    ([f"{t},{c if t else ''}" for t, c in ROWS], {}, "1 row without"),
    ([f"{t},{c}" for t, c in ROWS], {"header": "time,temperature °F", "temperature_column": "temperature °F", "temperature_unit": "C"}, "check the unit"),
])
def test_what_is_odd_is_said(lines, how, says):
    assert any(says in note for note in log(lines, **how).notes)


@pytest.mark.parametrize("text, says", [
    ("time,temperature\n" + "1" * 200_000 + ",3\n2,3\n", "no spreadsheet"), ("", "empty"), ("a,b\n1,2", "no column 'time'"),
    ("time,temperature\n1,1e308\n2,1e308", "two are needed"),
])
def test_what_cant_be_read_is_refused_in_a_sentence(text, says):
    with pytest.raises(ProbeError, match=says):
        read_log(text, time_column="time", temperature_column="temperature")
