"""How we tested: the page stands alone, the PDF is stable, neither says more than the verdict."""

import re

import pytest

from proofpan.publish.report import how_we_tested_html, how_we_tested_pdf

from .reading import pages, words


@pytest.fixture(scope="module")
def page(made):
    return how_we_tested_html(made.study, made.verdict, recipe=made.worked)


def test_the_page_loads_nothing_from_anywhere(page):
    loads = re.findall(r"""(?:\bsrc|\bhref|\bposter|\bsrcset|\baction)\s*=\s*["']?\s*([^"'>\s]+)|url\(\s*["']?([^"')]+)""", page)
    found = {one or other for one, other in loads}
    assert found
    assert {f for f in found if not f.startswith(("data:", "#"))} == set()
    assert "@import" not in page
    assert "<script" not in page


def test_every_identifier_on_the_page_is_one_of_a_kind(page):
    names = re.findall(r'\bid="([^"]+)"', page)
    assert len(names) == len(set(names))


def test_the_page_says_that_it_is_invented(page):
    assert "invented" in page


def test_the_data_names_no_taster(made, page):
    import base64

    held = base64.b64decode(re.search(r"text/csv;base64,([^\"]+)", page)[1]).decode()
    assert held.count("\n") > len(made.study.ballot_records)
    assert {t for t in made.study.tasters if re.search(rf"\b{t}\b", held)} == set()


def test_the_same_verdict_gives_the_same_bytes(made, page):
    assert how_we_tested_html(made.study, made.verdict, recipe=made.worked) == page
    assert how_we_tested_pdf(made.study, made.verdict) == how_we_tested_pdf(made.study, made.verdict)


def test_the_pdf_holds_every_question_in_few_pages(made):
    data = how_we_tested_pdf(made.study, made.verdict)
    text = words(data)
    assert all(" ".join(a.headline.split()) in text for a in made.verdict.answers)
    assert 2 <= pages(data) <= 4


def test_the_photographs_stand_in_both_with_words_for_who_cant_see_them(made):
    from io import BytesIO

    from PIL import Image

    held = BytesIO()
    Image.new("RGB", (300, 200), (180, 120, 60)).save(held, "PNG")
    shown = how_we_tested_html(made.study, made.verdict, pictures=held.getvalue())
    picture = re.search(r'<img class="looked" alt="([^"]+)" src="data:image/png;base64,', shown)
    assert picture and made.study.title in picture[1] and "What they looked like" in shown
    assert "looked" not in how_we_tested_html(made.study, made.verdict).replace("img.looked", "")
    with_it, without = (how_we_tested_pdf(made.study, made.verdict, pictures=p) for p in (held.getvalue(), None))
    assert "What they looked like" in words(with_it) and "What they looked like" not in words(without)


def test_a_table_stands_behind_every_chart_on_the_page_and_on_paper(made, page):
    rows = re.findall(r'<tr><th scope="row">([^<]*)</th>', page.split('id="answers"')[1])
    assert len(rows) == len(made.verdict.answers) and page.count('<a href="#answers">') == len(rows)
    assert page.count('id="pair-') == sum(bool(p.points) for p in made.verdict.interactions)
    text = words(how_we_tested_pdf(made.study, made.verdict))
    assert "Every difference in figures" in text and "Must be" in text


def test_every_chart_has_its_conclusion_over_it(made, page):
    shown = re.findall(r'<figcaption class="shows">([^<]+)</figcaption><svg[^>]*aria-label="([^"]+)"', page.replace('<div class="on-page">', ""))
    assert len(shown) == 2 and all(title == label for title, label in shown)


def test_readers_are_told_whose_palates_and_nothing_that_is_meant_for_the_kitchen(page):
    assert "yours may differ" in page and "your readers" not in page
    assert "Not settled. Not settled" not in page and not re.search(r"Not settled\. [^<]*Not settled", page)


def test_a_version_made_before_a_late_idea_is_no_other_way():
    import pandas as pd

    import proofpan as pp
    from proofpan.publish.report import lead
    from proofpan.web.pages.how_we_tested.page import tested_page
    from tests.kitchens import judged_study, plain

    study = judged_study(plain(), score=lambda v: 6.0, times=2)
    ways = len({str(t.version) for t in study.cooked})
    later = study.amend(add={"factor": {"name": "lemon", "options": [{"name": "none"}, {"name": "zest"}]}}, why="late", on="2026-05-03")
    again = later.with_trials(pd.DataFrame([{"round": 9, "trial": 99, "version": f"{study.cooked[0].version}; lemon=none"}]))
    verdict = pp.judge(again)
    assert again.ways_made == ways and f"in {ways} ways" in lead(again, verdict)
    page = tested_page(again, verdict, "a", charts={}, editions=(), files=())
    assert f", {ways} ways, and " in page.under
