"""The recipe card on paper and as a page: cautions and allergens lead, every line stands on it."""

import re

import pytest

from proofpan.publish.card import recipe_card_html, recipe_card_pdf

from .reading import pages, words


@pytest.mark.parametrize("paper", ["a4", "us-letter", "index"])
def test_the_card_is_one_page_and_stable(made, paper):
    data = recipe_card_pdf(made.worked, paper=paper, verdict=made.verdict)
    assert pages(data) == 1
    assert recipe_card_pdf(made.worked, paper=paper, verdict=made.verdict) == data
    text = words(data)
    assert text.index("Contains") < text.index("Careful") < text.index("Take")
    assert all(line.item.split(",")[0] in text for line in made.worked.lines)


def test_the_page_stands_alone_and_leads_with_what_can_harm(made):
    page = recipe_card_html(made.worked, made.verdict)
    assert re.findall(r"""(?:src|href)=["'](?!data:|#)""", page) == []
    assert set(re.findall(r"url\(([a-z]+):", page)) == {"data"}
    assert page.index("Contains") < page.index("Careful") < page.index(">Take<")


def test_what_comes_of_a_change_is_said_of_the_recipe_printed_here_with_its_range(made):
    from proofpan.publish.card import card_data

    printed = made.verdict.publish.version
    notes = card_data(made.worked, "a4", made.verdict, None)["changes"]
    assert notes and all("instead of" in what and " to " in says for what, says in notes)
    assert not any("version to publish" in what or what.endswith("?") for what, _ in notes)
    unsettled = [a for a in made.verdict.answers if not a.row.settled and printed[a.row.factor] in (a.row.option, a.row.against)]
    either_way = [a for a in unsettled if a.row.low < 0 < a.row.high]
    assert sum("couldn't tell" in says for _, says in notes) == len(either_way)


def test_a_change_that_surely_does_something_is_said_so_where_it_is_open_whether_it_earns_its_place():
    from proofpan.publish.card import _change
    from proofpan.study.verdict import Answer, EffectRow

    def said(low: float) -> str:
        row = EffectRow(attribute="overall", factor="malt syrup", option="10 g", against="none", asks="worth it", difference=1.3, low=low, high=2.0,
                        odds_better=0.99, odds_over_worth=0.94, price=0.54, worth=0.54)
        change = _change(Answer(asks="worth it", question="?", headline="?", outcome=row.outcome, do="", numbers="", more="", row=row), "10 g", 10.0)
        assert change is not None
        return change[1]

    assert said(0.52) == "about 1.3 worse of 10 (0.52 to 2.0 worse)." and "couldn't tell" in said(-0.1)
