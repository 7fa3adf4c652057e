"""Classical designs on their page: made from an address, kept as CSV, refused by the field, and read in a browser."""

from urllib.parse import urlencode

import pytest

from .test_browser import AXE_TAGS, LAPTOP, PHONE, at_the_desk, browser, served  # noqa: F401  fixtures

FACTORS = "salt: little, much\nfat: oil, butter\noven: 170, 190\nrest: none, 30 min"


def address(path="/designs", **fields):
    return f"{path}?{urlencode(fields)}"


def test_the_empty_form_stands_with_an_example_and_no_design(lead):
    page = lead.get("/designs")
    assert page.status == 200 and page.headline == "Classical designs" and "salt: little, much" in page.text and "What it tells" not in page.text


def test_a_fraction_says_what_it_cannot_tell_and_is_kept_as_csv(lead):  # NIST/SEMATECH e-Handbook 5.3.3.4.7
    page = lead.get(address(kind="fraction", factors=FACTORS, generators="D=ABC"))
    assert "8 trials instead of 16 for 4 factors, resolution 4." in page.text and "salt × fat and oven × rest" in page.text
    (href,) = page.all(r'href="(/designs\.csv[^"]*)"')
    file = lead.client.get(href)
    assert file.headers["content-type"].startswith("text/csv") and file.text.splitlines()[0] == "trial,salt,fat,oven,rest"
    assert len(file.text.splitlines()) == 9


@pytest.mark.parametrize("fields, says, field", [
    ({"kind": "fraction", "factors": FACTORS, "generators": "D=AQ"}, "is not a generator", "generators"),
    ({"kind": "optimal", "factors": FACTORS, "runs": "3"}, "can't carry", "runs"),
    ({"kind": "optimal", "factors": FACTORS, "runs": "8", "per_load": "lid", "loads": "4"}, "isn’t a factor|isn't a factor", "per_load"),
    ({"kind": "full", "factors": "salt: little"}, "two different options", "factors"),
    ({"kind": "blocks", "plates": "many"}, "whole number", "plates"), ({"kind": "guess"}, "five kinds", ""),
])  # fmt: skip
def test_what_cannot_be_made_is_said_by_its_field_and_keeps_what_was_typed(lead, fields, says, field):
    import re

    page = lead.get(address(**fields))
    assert page.status == 422 and re.search(says, page.wrong) and (not field or f'name="{field}"' in page.text)
    assert all(v.split("\n")[0] in page.text for k, v in fields.items() if k not in ("kind",))
    assert lead.client.get(address("/designs.csv", **fields)).status_code == 422


def test_a_stranger_sees_nothing(kitchen):
    assert kitchen.stranger().get("/designs").status == 403


@pytest.mark.browser
@pytest.mark.parametrize("size, scheme", [(PHONE, "dark"), (LAPTOP, "light")])
def test_in_a_browser_a_design_is_made_by_the_form(browser, served, size, scheme):  # noqa: F811
    from axe_playwright_python.sync_playwright import Axe

    page = at_the_desk(browser, served, size, color_scheme=scheme)
    page.goto(f"{served.address}/designs")
    page.get_by_label("Incomplete blocks of plates").check()
    page.get_by_role("button", name="Make the design").click()
    page.wait_for_selector("text=meets every other once")
    assert page.locator("tbody tr").count() == 7 and page.evaluate("document.documentElement.scrollWidth") <= size["width"]
    assert not Axe().run(page, options={"runOnly": {"type": "tag", "values": AXE_TAGS}}).response["violations"] and not page.wrong
