"""Temperatures as a kitchen reads them; the pairs of °C and °F are the US Food Code's own (2022, 1-201.10(B), 3-401.11, 3-501.16; from memory)."""

import pytest

from proofpan.study.degrees import celsius, degrees, dial_words, in_its_degrees, reads_fahrenheit
from proofpan.study.kitchen import Kitchen

US, AU = Kitchen(country="US"), Kitchen(country="AU")


@pytest.mark.parametrize(("ours", "said"), [
    ("between 5 and 57 °C for longer than 4 h", "between 41 and 135 °F for longer than 4 h"), ("5 to 57 °C, 4 h", "41 to 135 °F, 4 h"),
    ("its thickest part has reached 74 °C (165 °F).", "its thickest part has reached 165 °F."),
    ("sausages at 71 °C, whole cuts at 63 °C", "sausages at 160 °F, whole cuts at 145 °F"),
    ("For 20 minutes.", "For 20 minutes."),
])
def test_a_us_kitchen_reads_fahrenheit_and_another_what_was_written(ours, said):
    assert in_its_degrees(ours, US) == said and in_its_degrees(ours, AU) == ours


@pytest.mark.parametrize(("celsius", "dial"), [(190.555556, "375 °F"), (191, "375 °F"), (176.666667, "350 °F"), (232, "450 °F"), (100, "210 °F")])
def test_a_dial_is_set_to_the_nearest_five(celsius, dial):
    assert dial_words(celsius, US) == dial
    assert dial_words(170, AU) == "170 °C"


def test_the_kitchens_own_style_comes_before_its_countrys():
    assert reads_fahrenheit(US) and not reads_fahrenheit(Kitchen(country="US", style="AU")) and not reads_fahrenheit(Kitchen())


@pytest.mark.parametrize("shown", ["165", "164.5", "32", "-4"])
def test_a_reading_comes_back_as_it_was_typed(shown):
    assert degrees(celsius(float(shown)), US) == shown and degrees(float(shown), AU) == shown
