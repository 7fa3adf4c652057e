"""Loggers' files as they come."""

import pytest

from proofpan.science.probe import ProbeError, probe_log, read_log


def test_seconds_and_commas():
    log = read_log("time,core\n0,20.5\n10,21\n20,22\n", time_column="time", temperature_column="core")
    assert log.times_s.tolist() == [0, 10, 20] and log.temperature_c.tolist() == [20.5, 21, 22]


def test_semicolons_decimal_commas_and_a_preamble():
    text = "\ufeffLogger 4;serial 0017\n\nZeit;Kern °C;Ofen\n10:00:00;20,5;180\n10:00:30;21,5;181\n"
    log = read_log(text, time_column="Zeit", temperature_column="Kern °C")
    assert log.times_s.tolist() == [0, 30] and log.temperature_c.tolist() == [20.5, 21.5]


def test_a_clock_passes_midnight():
    log = read_log("t,c\n23:59:30,5\n00:00:30,6\n", time_column="t", temperature_column="c")
    assert log.times_s.tolist() == [0, 60]


def test_date_and_time_minutes_and_fahrenheit():
    log = read_log("t,c\n2026-05-03T12:00:00,212\n2026-05-03T12:01:00,32\n", time_column="t", temperature_column="c",
                   temperature_unit="F")  # fmt: skip
    assert log.times_s.tolist() == [0, 60] and log.temperature_c.tolist() == pytest.approx([100, 0])
    assert read_log("t,c\n0,1\n1.5,2\n", time_column="t", temperature_column="c", time_unit="min").times_s[1] == 90


def test_rows_without_a_temperature_are_counted_not_invented():
    log = read_log("t,c\n0,20\n1,---\n2,\n3,21\n", time_column="t", temperature_column="c")
    assert log.skipped == 2 and log.times_s.tolist() == [0, 3]


@pytest.mark.parametrize(
    "text, says",
    [
        ("", "empty"),
        ("t,c\n0,1\n", "two are needed"),
        ("t,oven\n0,1\n1,2\n", "no column 'c'"),
        ("t,c\nsoon,1\n1,2\n", "Line 2: 'soon'"),
        ("t,c\n5,1\n5,2\n", "reading 2 isn't later"),
    ],
)
def test_a_bad_log_is_refused_in_one_sentence(text, says):
    with pytest.raises(ProbeError, match=says) as caught:
        read_log(text, time_column="t", temperature_column="c")
    assert len(str(caught.value)) < 300 and "\n" not in str(caught.value)


def test_arrays_are_frozen():
    log = probe_log([0, 1], [20, 21])
    with pytest.raises(ValueError):
        log.temperature_c[0] = 3
