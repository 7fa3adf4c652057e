"""Readings become numbers with an interval and enter the verdict with their own error."""

import numpy as np
import pandas as pd
import pytest

import proofpan as pp
from proofpan.steps.readings import agreements, read_probe, read_weights
from tests.kitchens import judged_study, plain, trials_of

MEASURED = [{"name": "liking", "scale": [0, 10], "better": "more", "weight": 1, "worth": 0.5},
            {"name": "pulses", "scale": [0, 40], "better": "more", "weight": 1, "worth": 2, "measured": True}]


def with_readings(error=None):
    study = judged_study(plain(attributes=MEASURED[:1]), score=lambda v: 6 + (v["salt"] == "much"), times=2)
    study = plain(attributes=MEASURED).with_trials(trials_of(plain(), times=2)).model_copy(
        update={"ballot_records": tuple(b for b in study.ballot_records)})
    rows = [{"trial": t.trial, "attribute": "pulses", "value": 12 + 8 * (t.version["salt"] == "much") + t.trial % 3, "error_sd": error}
            for t in study.trial_records]
    return study.with_readings(pd.DataFrame(rows))


def test_a_reading_is_an_attribute_like_any_other():
    effects = pp.judge(with_readings(error=1.0)).effects()
    row = effects[(effects.attribute == "pulses") & (effects.factor == "salt") & (effects["at"] == "averaged")].iloc[0]
    assert row.option == "much" and row.difference == pytest.approx(8, abs=2.5)


def test_a_reading_without_an_error_says_less():
    widths = []
    for error in (0.2, 6.0):
        effects = pp.judge(with_readings(error)).effects()
        row = effects[(effects.attribute == "pulses") & (effects.factor == "salt")].iloc[0]
        widths.append(row.high - row.low)
    assert widths[1] > widths[0]


def test_readings_and_tasters_are_held_beside_each_other():
    found = agreements(with_readings())
    assert found[0].attribute == "pulses" and found[0].low <= found[0].correlation <= found[0].high


def test_a_reading_of_an_unknown_trial_or_attribute_is_refused():
    study = plain(attributes=MEASURED).with_trials(trials_of(plain()))
    for row, words in (({"trial": 99, "attribute": "pulses", "value": 1}, "no trial"),
                       ({"trial": 1, "attribute": "liking", "value": 1}, "isn't a measured attribute"),
                       ({"trial": 1, "attribute": "pulses", "value": 400}, "on the scale")):
        with pytest.raises(pp.TrialError, match=words):
            study.with_readings(pd.DataFrame([row]))


def test_readings_are_written_and_read_again():
    study = with_readings(error=0.5)
    assert pp.Study.from_text(study.to_yaml()).reading_records == study.reading_records


def test_weights_carry_the_scales_resolution():
    # JCGM 100:2008 (GUM), 4.3.7: a resolution d has standard uncertainty d/sqrt(12); k = 2 from 6.3.3
    figure = read_weights(250, 205, 1.0).figures[0]
    u = 100 / 250 * np.sqrt((1 / np.sqrt(12)) ** 2 + (205 / 250 / np.sqrt(12)) ** 2)
    assert figure.value == pytest.approx(18.0) and figure.high - figure.value == pytest.approx(2 * u, rel=1e-3)
    assert read_weights(2, 1.6, 1.0).warnings


def test_a_probe_log_is_read_from_any_loggers_columns():
    log = "clock;core\n" + "\n".join(f"{t};{20 + t / 20}" for t in range(0, 1400, 20))
    report = read_probe(log, time_column="clock", temperature_column="core")
    assert report.figures[0].value == pytest.approx(89, abs=0.1)
    assert any("authority" in c for c in report.cautions)
    with pytest.raises(pp.TrialError, match="core"):
        read_probe(log, time_column="clock", temperature_column="oven")


def test_a_reading_before_anything_is_cooked_says_what_comes_first():
    with pytest.raises(pp.TrialError, match="Nothing is cooked yet: plan a round first, or bring in its trials"):
        plain(attributes=MEASURED).with_readings(pd.DataFrame([{"trial": "1", "attribute": "pulses", "value": "3"}]))
