"""Fixed words are separable: a catalogue that lists them all, a language that replaces each, numbers, dates and clocks its own way."""

import re
from datetime import date, datetime
from importlib.resources import files
from types import SimpleNamespace

import pytest

import proofpan as pp
from proofpan.publish import day_papers, presenter, report, sheets
from proofpan.publish.card import draft_mark, recipe_card_html, recipe_card_pdf
from proofpan.publish.day_html import day_html
from proofpan.publish.tester import tester_form_html, tester_pack_pdf
from proofpan.steps.confirming import confirm
from proofpan.steps.crosstest import cross_test
from proofpan.steps.day import plan_day
from proofpan.steps.day_lists import day_lists
from proofpan.steps.recipe import recipe
from proofpan.steps.tester_pack import tester_pack
from proofpan.study.wording import Wording, say, say_counted, speaking
from proofpan.study.words import counted, joined, odds, signed_range, times
from tests.publish.catalogue import CATALOGUE, FOLDER, catalogue, unmarked
from tests.publish.pseudo import shown_in, strange_language, unsaid
from tests.publish.reading import words

FORMS = """answers,tester,worked,out_min,swaps,unclear,note
1,Ines,yes,21,,,
2,Jory,no,30,,mix,too dry
3,Kim,yes,24,spelt flour,,
"""
NOTED = {"spelt", "juni", "freitag"}      # what a tester wrote, and the month and the weekday as the locale has them


def test_the_catalogue_lists_every_fixed_text():
    """Made anew with: make messages"""
    assert CATALOGUE.read_text(encoding="utf-8") == catalogue()


SPEAKING = ("steps/saying.py", "steps/caveats.py", "steps/interacting.py", "steps/limits.py", "steps/palates.py", "steps/unblinded.py", "steps/elsewhere.py",
            "steps/telling_apart.py", "steps/confirming.py", "steps/kitchens.py", "steps/swaps.py", "steps/attribute_weights.py", "steps/day_words.py",
            "steps/day_lists.py", "steps/day_shopping.py", "steps/day_keeping.py", "steps/recipe_text.py", "study/words.py", "publish/card.py",
            "publish/report.py", "publish/report_tables.py", "publish/presenter.py", "publish/tester.py", "publish/charts.py", "publish/day_papers.py",
            "publish/day_html.py", "steps/day_clash.py", "steps/day_order.py", "steps/test_sheet.py", "publish/sheets.py", "publish/oven_map.py")


@pytest.mark.parametrize("name", SPEAKING)
def test_no_sentence_of_a_speaking_module_is_left_unmarked(name):
    assert unmarked(FOLDER / name) == []


@pytest.fixture(scope="module")
def strange(made, tmp_path_factory):
    """Everything that the outputs are made of, worked out where the strange language is spoken."""
    forms = tmp_path_factory.mktemp("forms") / "answers.csv"
    forms.write_text("\n".join(line.split(",", 1)[1] for line in FORMS.splitlines()), encoding="utf-8")
    with speaking(strange_language()) as wording:
        verdict = pp.judge(made.study)
        tests = cross_test(made.study.brief.base, forms)
        plan = plan_day(made.study, round=made.round, start="2026-06-05T09:00")
        return SimpleNamespace(
            wording=wording, verdict=verdict, tests=tests, plan=plan, lists=day_lists(made.study, made.round), second=confirm(made.study, verdict).says,
            recipe=recipe(made.study, verdict.publish.version, cross_tests=tests), pack=tester_pack(made.study, verdict.publish.version))


PAGES = {
    "how we tested": lambda m, s: report.how_we_tested_html(
        m.study, s.verdict, recipe=s.recipe, cross_test=s.tests, second=s.second, generated=date(2026, 6, 5)),
    "card": lambda m, s: recipe_card_html(s.recipe, s.verdict),
    "tester's form": lambda m, s: tester_form_html(s.pack),
    "the day": lambda m, s: day_html(m.study, s.plan, s.lists),
    "recipe as text": lambda m, s: s.recipe.scaled(by=2).text(),
}
PAPERS = {
    "how we tested": lambda m, s: report.how_we_tested_pdf(m.study, s.verdict, recipe=s.recipe, cross_test=s.tests, second=s.second),
    "presenter's sheet": lambda m, s: presenter.presenter_sheet_pdf(m.study, s.verdict, True),
    "presenter's sheet, sealed": lambda m, s: presenter.presenter_sheet_pdf(m.study, s.verdict, False),
    "card": lambda m, s: recipe_card_pdf(s.recipe, verdict=s.verdict),
    "tester's pack": lambda m, s: tester_pack_pdf(s.pack),
    "run sheet": lambda m, s: day_papers.run_sheet_pdf(m.study, s.plan),
    "oven chart": lambda m, s: day_papers.oven_chart_pdf(m.study, s.plan),
    "cutting plan": lambda m, s: day_papers.cutting_plan_pdf(m.study, s.lists),
    "filming": lambda m, s: day_papers.filming_sheet_pdf(m.study, s.plan),
    "test sheets": lambda m, s: sheets.test_sheets_pdf(m.study, m.round, worked={m.round.trials[0].trial: s.recipe}),
    "blank sheets": lambda m, s: sheets.blank_sheets_pdf(m.study),
    "ballots": lambda m, s: sheets.paper_ballots_pdf(m.study, m.round),
    "labels": lambda m, s: sheets.labels_pdf(m.round),
    "reveal": lambda m, s: sheets.reveal_sheet_pdf(m.study, m.round),
    "shopping": lambda m, s: sheets.shopping_list_pdf(m.study, s.lists),
    "prep": lambda m, s: sheets.prep_list_pdf(m.study, s.lists),
    "tray map": lambda m, s: sheets.tray_map_pdf(m.study, m.round),
}


@pytest.mark.parametrize("name", PAGES)
def test_a_page_says_nothing_that_the_language_did_not(made, strange, name):
    with speaking(strange.wording):
        page = PAGES[name](made, strange)
    text = shown_in(page) if "<" in page else page
    assert "ñ" in text and unsaid(text, made.study) - NOTED == set(), text


@pytest.mark.parametrize("name", PAPERS)
def test_a_paper_says_nothing_that_the_language_did_not(made, strange, name):
    with speaking(strange.wording):
        text = words(PAPERS[name](made, strange))
    assert unsaid(text, made.study) - NOTED == set(), text
    assert "ñ" in text or name == "labels"


def test_the_numbers_of_a_page_have_the_languages_comma(made, strange):
    with speaking(strange.wording):
        text = shown_in(PAGES["how we tested"](made, strange))
    row = next(r for r in strange.verdict.rows if r.version == strange.verdict.publish.version)
    assert f"{row.score:.1f}".replace(".", ",") in text and f"{row.score:.1f} " not in text
    assert "5. Juni 2026" in text
    with speaking(strange.wording):
        card = shown_in(PAGES["card"](made, strange))
    assert re.search(r"\d,\d g", card) and not re.search(r"\d\.\d g", card)


def test_what_machines_read_keeps_its_point(made, strange):
    plain = made.worked.jsonld(), report._csv(made.study)
    with speaking(strange.wording):
        assert (made.worked.jsonld(), report._csv(made.study)) == plain


def test_numbers_and_dates_are_written_the_languages_way():
    # Unicode CLDR: a decimal comma in German, the month before the day and a 12-hour clock in US English
    day, moment = date(2026, 5, 29), datetime(2026, 5, 29, 15, 5)
    assert [Wording(x, {}).number(1234.5) for x in ("en", "de")] == ["1,234.5", "1.234,5"]
    assert [Wording(x, {}).figure(-1234.56, "+,.1f") for x in ("en", "de")] == ["-1,234.6", "-1.234,6"]
    assert [Wording(x, {}).date(day) for x in ("en", "en-US", "de")] == ["29 May 2026", "May 29, 2026", "29. Mai 2026"]
    assert [Wording(x, {}).day_and_month(day) for x in ("en", "en-US", "de")] == ["29 May", "May 29", "29. Mai"]
    assert [Wording(x, {}).clock(moment) for x in ("en", "en-US", "de")] == ["15:05", "3:05 PM", "15:05"]
    assert [Wording(x, {}).weekday(day) for x in ("en", "de")] == ["Friday", "Freitag"]
    assert [Wording(x, {}).joined("abc") for x in ("en", "de")] == ["a, b and c", "a, b und c"]


def test_values_in_a_text_are_written_the_languages_way():
    with speaking(Wording("de", {"{score:.1f} of {top}": "{score:.1f} von {top}"})):
        assert say("{score:.1f} of {top}", score=7.25, top=10) == "7,2 von 10"
        assert say("Until {day}", day=date(2026, 5, 29)) == "Until 29. Mai 2026"
    assert say("{score:.1f} of {top}", score=7.25, top=10) == "7.2 of 10"


def test_a_counted_text_has_as_many_forms_as_the_language():
    # Polish has one form for 1, one for 2 to 4, one for 5 to 21 (GNU gettext manual, plural forms)
    trials = {("{number} trial", "{number} trials"): ("{number} próba", "{number} próby", "{number} prób")}
    with speaking(Wording("pl", trials)):
        assert [counted(n, "trial") for n in (1, 2, 5, 22, 112)] == ["1 próba", "2 próby", "5 prób", "22 próby", "112 prób"]
    assert [counted(n, "trial") for n in (1, 2)] == ["1 trial", "2 trials"]
    assert say_counted(1, "{number} was", "{number} were") == "1 was"


def test_english_says_what_it_always_said():
    assert (times(1), times(2), times(3), odds(0.001), odds(0.62), odds(0.999)) == (
        "once", "twice", "3 times", "fewer than 1 in 100", "62 in 100", "more than 99 in 100")
    assert [signed_range(*r, 0.5) for r in ((0.8, 2.2), (-0.6, 0.5001), (-1.2, -0.3), (-0.04, 1.0), (-1.0, 0.04))] == [
        "0.8 to 2.2", "0.6 worse to 0.50 better", "0.3 to 1.2 worse", "0.0 to 1.0 better", "1.0 worse to 0.0"]
    assert joined("ab", "or") == "a or b"


def test_a_language_without_a_file_is_refused_in_a_sentence(tmp_path):
    broken = tmp_path / "de.po"
    broken.write_text('msgid "Take\nmsgstr', encoding="utf-8")
    for asked, says in (("nl", "no translation"), ("not a language", "isn't a language"), ("gone.po", "no catalogue"), (str(broken), "can't be read")):
        with pytest.raises(pp.StudyError, match=says):
            Wording(asked)


def test_a_translation_is_read_from_its_file_as_it_stands(tmp_path, made):
    filled = catalogue().replace('msgid "Take"\nmsgstr ""', 'msgid "Take"\nmsgstr "Man nehme"')
    filled = filled.replace('msgid "{number} trial"\nmsgid_plural "{number} trials"\nmsgstr[0] ""\nmsgstr[1] ""',
                            'msgid "{number} trial"\nmsgid_plural "{number} trials"\nmsgstr[0] "{number} Versuch"\nmsgstr[1] "{number} Versuche"')
    file = tmp_path / "de.po"
    file.write_text(filled, encoding="utf-8")
    with speaking(str(file)) as wording:
        assert (wording.locale, say("Take"), say("Make"), counted(3, "trial")) == ("de", "Man nehme", "Make", "3 Versuche")
        page = recipe_card_html(made.worked)
    assert "Man nehme" in page and '<html lang="de">' in page
    assert "Take" in recipe_card_html(made.worked) and "Man nehme" in recipe_card_html(made.worked, language=str(file))


def test_a_name_that_a_translator_lost_or_made_up_does_not_stop_a_paper():
    with speaking(Wording("de", {"Makes {makes}": "Ergibt {menge}"})):
        assert say("Makes {makes}", makes="30 crackers") == "Makes 30 crackers"


@pytest.mark.parametrize("approved, on, says", [
    (None, date(2026, 6, 1), "nobody has approved"), ("Ada", date(2026, 5, 28), "Not before 29 May 2026"), ("Ada", None, "Not before"),
    ("Ada", date(2026, 5, 29), "")])
def test_nothing_is_shown_as_final_before_embargo_and_approval(made, approved, on, says):
    base = made.study.brief.base
    edition = pp.Edition(number=2, title="x", version=made.verdict.publish.version, recipe=base, embargo=date(2026, 5, 29), approved_by=approved)
    mark = draft_mark(edition, on)
    assert says in mark and bool(mark) == bool(says) and edition.is_final(on) == (not says)


def test_every_template_is_packed():
    assert {f.name.rpartition(".")[2] for f in (files("proofpan.publish") / "templates").iterdir()} >= {"typ", "css", "js"}
