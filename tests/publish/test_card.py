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
