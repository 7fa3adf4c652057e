"""The heat page: the curve, readers' kitchens, a probe's log, and no figure where there is no sum."""

from urllib.parse import urlencode

import pytest

from proofpan.notebook.shelf import keep_study
from tests.kitchens import plain


@pytest.fixture
def address(kitchen):
    return f"/study/{keep_study(kitchen.book, plain(tasters=2)).id}/heat"


def test_it_opens_with_minutes_a_curve_and_the_caution(lead, address):
    page = lead.get(address)
    assert page.status == 200 and page.headline.startswith("Cubes of 3.5 cm, until tender: done from 1") and "<polyline" in page.text
    assert "Worked out, not cooked" in page.text and 'type="range"' in page.text


def test_readers_kitchens_add_the_odds_and_what_matters(lead, address):
    page = lead.get(address + "?" + urlencode({"readers": "yes", "shape": "sphere"}))
    assert "start looking at" in page.headline and "What matters" in page.text and "readers" in page.text


def test_a_probe_s_log_is_laid_over_the_curve(lead, address):
    page = lead.get(address + "?" + urlencode({"log": "0 15\n5, 40\n10; 80"}))
    assert page.text.count("<circle") == 3
    assert "Line 1" in lead.get(address + "?" + urlencode({"log": "soon warm"})).wrong


@pytest.mark.parametrize("asked, says", [({"food": "custard"}, "No sum for this; cross-test it"), ({"until": "bread crust"}, "No sum for this"),
                                         ({"size": "400"}, "from 1 to 12"), ({"food": "quartz"}, "is in the pantry"), ({"stage": "toast"}, "stage known")])
def test_no_figure_where_there_is_no_sum(lead, address, asked, says):
    page = lead.get(address + "?" + urlencode(asked))
    assert page.status == 422 and says in page.wrong and "<polyline" not in page.text and "done from" not in page.text


def test_meat_carries_the_caution(lead, address):
    page = lead.get(address + "?" + urlencode({"food": "chicken", "shape": "slab", "size": "2.5", "stage": "fan oven", "until": "poultry breast"}))
    assert page.status == 200 and "local food-safety authority" in page.text
