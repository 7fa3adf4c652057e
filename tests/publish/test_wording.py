"""Fixed words are separable: a catalogue that lists them all, a language that replaces each, numbers and dates its own way."""

import re
from datetime import date
from html.parser import HTMLParser
from importlib.resources import files
from io import BytesIO
from pathlib import Path

import pytest

import proofpan as pp
from proofpan.publish import card, tester
from proofpan.publish.card import draft_mark, recipe_card_html
from proofpan.publish.tester import tester_form_html
from proofpan.publish.wording import Wording
from proofpan.steps.recipe import recipe
from proofpan.steps.tester_pack import tester_pack
from tests.publish.catalogue import catalogue, messages

FOLDER = files("proofpan.publish")


def test_the_catalogue_lists_every_fixed_text():
    """Made anew with: python -m tests.publish.catalogue"""
    assert (FOLDER / "locale" / "proofpan.pot").read_text(encoding="utf-8") == catalogue()


class Shown(HTMLParser):
    """The text that a reader sees, and what stands in attributes they hear or see."""

    def __init__(self):
        super().__init__()
        self.said, self.skip = [], 0

    def handle_starttag(self, tag, attrs):
        self.skip += tag in ("style", "script")
        self.said += [v for n, v in attrs if n in ("placeholder", "aria-label") and v]

    def handle_endtag(self, tag):
        self.skip -= tag in ("style", "script")

    def handle_data(self, data):
        if not self.skip and data.strip():
            self.said.append(data.strip())


def pseudo(text):
    """Another language made of marks: every letter outside {names} is replaced."""
    return "⟦" + "".join(p if p.startswith("{") else re.sub("[A-Za-z]", "ñ", p) for p in re.split(r"(\{\w+\})", text)) + "⟧"


def test_in_another_language_no_fixed_english_is_left(monkeypatch, made):
    strange = {m: pseudo(m) for m in messages()}
    for module in (card, tester):
        monkeypatch.setattr(module, "Wording", lambda locale="en": Wording("de", messages=strange))
    pack = tester_pack(made.study, made.verdict.publish.version)
    data = {pack.recipe.title, pack.recipe.headnote, *pack.recipe.allergens, *pack.recipe.cautions, *pack.recipe.notes, "Larkspur Lane",
            *(x.text for x in pack.lines), *(x for line in pack.recipe.lines for x in (line.item, line.text)), pack.recipe.makes, pack.recipe.keeping}
    for page in (tester_form_html(pack), recipe_card_html(recipe(made.study, made.verdict.publish.version))):
        shown = Shown()
        shown.feed(page)
        words = " ".join(shown.said)
        for part in sorted((d for d in data if d), key=len, reverse=True):
            words = words.replace(part, "")
        words = re.sub(r"\d+\. [^⟦]*?…|kcal|kJ|energy|fat|saturates|carbohydrate|sugars|fibre|protein|salt|\bg\b|\bCSV\b|°C|cold", "", words)
        assert set(re.findall(r"[A-Za-z]{4,}", words)) == set(), words


def test_numbers_and_dates_are_written_the_languages_way():
    # Unicode CLDR: a decimal comma in German, the month before the day in US English
    day = date(2026, 5, 29)
    assert [Wording(x, {}).number(1234.5) for x in ("en", "de")] == ["1,234.5", "1.234,5"]
    assert [Wording(x, {}).date(day) for x in ("en", "en-US", "de")] == ["29 May 2026", "May 29, 2026", "29. Mai 2026"]


def test_a_language_without_a_file_is_refused_in_a_sentence():
    for asked, says in (("nl", "no translation"), ("not a language", "isn't a language")):
        with pytest.raises(pp.StudyError, match=says):
            Wording(asked)


def test_a_translation_is_read_as_it_stands(tmp_path, monkeypatch):
    from babel.messages.pofile import read_po

    filled = catalogue().replace('msgid "Take"\nmsgstr ""', 'msgid "Take"\nmsgstr "Man nehme"')
    held = {str(m.id): str(m.string) for m in read_po(BytesIO(filled.encode())) if m.id and m.string}
    assert Wording("de", held)("Take") == "Man nehme" and Wording("de", held)("Make") == "Make"


@pytest.mark.parametrize("approved, on, says", [
    (None, date(2026, 6, 1), "nobody has approved"), ("Ada", date(2026, 5, 28), "Not before 29 May 2026"), ("Ada", None, "Not before"),
    ("Ada", date(2026, 5, 29), "")])
def test_nothing_is_shown_as_final_before_embargo_and_approval(made, approved, on, says):
    base = made.study.brief.base
    edition = pp.Edition(number=2, title="x", version=made.verdict.publish.version, recipe=base, embargo=date(2026, 5, 29), approved_by=approved)
    mark = draft_mark(edition, on, Wording())
    assert says in mark and bool(mark) == bool(says) and edition.is_final(on) == (not says)


def test_every_template_is_packed():
    assert {Path(str(f)).suffix for f in (FOLDER / "templates").iterdir()} >= {".typ", ".css", ".js"}
