"""How things are said on a line."""

import pytest

from proofpan.study.words import unbroken


@pytest.mark.parametrize(("text", "kept"), [
    ("olive oil, 10 g of malt, a 170 oven", "olive oil, 10_g of malt, a 170 oven"), ("Olive oil, oven 170", "Olive oil, oven_170"),
    ("20 min late at 12:15", "20_min late at 12:15"), ("180 °C fan, 30 minutes", "180_°C fan, 30_minutes"), ("Trial 7 of load 2", "Trial_7 of load_2"),
    ("5 golden crackers", "5 golden crackers"), ("2 cups, 1 tsp", "2_cups, 1_tsp"), ("day 3, 4 hot pans", "day_3, 4 hot pans"),
])
def test_a_number_stays_on_one_line_with_its_unit_or_its_name(text, kept):
    assert unbroken(text) == kept.replace("_", "\u00a0")
