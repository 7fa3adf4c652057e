"""The heat page: the curve, readers' kitchens, a probe's log, and no figure where there is no sum."""

from urllib.parse import urlencode

import pytest

from proofpan.notebook.shelf import keep_study, read_study
from proofpan.web.pages.heat.drawing import ready_picture
from tests.kitchens import crackers, plain
from tests.steps.test_heat import a_log_of_an_oven


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


def test_kitchens_that_really_cooked_it_stand_beside_the_sum():
    ready = ((8.0, 0.0), (12.0, 0.5), (20.0, 1.0))
    drawn = ready_picture(ready, (18.0, 30.0), (18.0, 30.0, 24.0))
    assert drawn.count("<circle") == 3 and "really came out after 18, 24, 30 minutes" in drawn
    assert "<circle" not in ready_picture(ready, (10.0, 14.0))


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


def test_stages_before_and_further_sizes_count(lead, address):
    plainly = lead.get(address + "?" + urlencode({"shape": "finite cylinder", "others": "4"}))
    soaked = lead.get(address + "?" + urlencode({"shape": "finite cylinder", "others": "4", "before": "soak 60 for 20 min"}))
    minutes = [int(page.headline.split("done from ")[1].split()[0]) for page in (plainly, soaked)]
    assert soaked.status == 200 and minutes[1] < minutes[0]
    assert "how long" in lead.get(address + "?" + urlencode({"before": "soak 60"})).wrong
    assert "further sizes" in lead.get(address + "?" + urlencode({"others": "wide"})).wrong


def test_a_house_that_writes_in_us_measures_reads_and_types_in_them(lead, kitchen):
    study = plain(tasters=2)
    us = study.model_copy(update={"brief": study.brief.model_copy(update={"kitchen": study.brief.kitchen.model_copy(update={"style": "US"})})})
    page = lead.get(f"/study/{keep_study(kitchen.book, us).id}/heat?" + urlencode({"size": "1.38", "start": "59", "until": "185", "log": "0 59\n5 120\n"}))
    metric = lead.get(page.url + "?" + urlencode({"measures": "metric", "size": "3.5", "start": "15", "until": "85"}))
    assert "Size, inches" in page.text and "1.4 inch, until its core is 185 °F" in page.headline and "°F over minutes" in page.text
    assert page.headline.split("done from")[1] == metric.headline.split("done from")[1] and "°C over minutes" in metric.text


FITTED = {"food": "water=0.79, protein=0.02, carbohydrate=0.19", "shape": "slab", "size": "4", "start": "6", "stage": "fan oven", "oven": "180", "until": "74",
          "free": "heat transfer", "fit": "yes"}


def test_what_a_log_says_of_the_oven_is_kept_with_it_and_used(lead, kitchen):
    study = keep_study(kitchen.book, crackers())
    log = "\n".join(f"{float(t) / 60:g} {c}" for t, c in (line.split(",") for line in a_log_of_an_oven(0.0, 34.0, "fan oven").splitlines()[1:40:2]))
    asked = {**FITTED, "log": log}
    page = lead.get(f"/study/{study.id}/heat?" + urlencode(asked))
    assert page.status == 200 and "What the log says of our oven" in page.text and "stroke-dasharray" in page.text and "Keep it with this oven" in page.text
    lead.csrf = page.all(r'name="csrf" value="([^"]+)"')[0]
    kept = lead.post(f"/study/{study.id}/heat/oven", **{k.replace(" ", "__"): v for k, v in asked.items()}, oven_name="main")
    assert kept.status == 200 and "Kept with the oven main" in kept.text and "with what a log said of the oven main" in kept.text
    oven = read_study(kitchen.book, study.id).brief.kitchen.ovens[0]
    assert oven.heat_transfer_w_m2k == pytest.approx(34, rel=0.1) and "heat page" in oven.fitted


@pytest.mark.parametrize("change, says", [({"stage": "boil"}, "A log tells of an oven"), ({"log": "0 6\n5 8"}, "at least 8 readings"),
                                          ({"before": "soak 20 for 5 min"}, "one stage")])
def test_a_log_that_tells_nothing_of_an_oven_says_why(lead, address, change, says):
    page = lead.get(address + "?" + urlencode({**FITTED, "log": "\n".join(f"{5 * i} {6 + i}" for i in range(12)), **change}))
    assert page.status == 422 and says in page.wrong
