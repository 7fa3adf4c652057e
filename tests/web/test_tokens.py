"""Words on a door card: a taster's own, shown again, and none that tells what is on the plates."""

import pytest

import proofpan as pp
from proofpan.web.tokens import WORDS, known_words, telling_words, words_of

from .conftest import crackers, opened, planned

DIP = {
    "title": "Dip",
    "attributes": [{"name": "snap"}],
    "base": {"title": "Dip", "makes": "1 bowl", "ingredients": ["400 g white beans", "2 cloves garlic", "100 g strawberries"], "method": ["Mash."]},
    "factors": [{"name": "fat", "options": [{"name": "olive oil"}, {"name": "walnut oil", "edits": [{"swap": "garlic", "for": "20 g peeled shallots"}]}]}],
}  # fmt: skip


def test_words_of_options_edits_and_ingredients_are_on_no_card():
    avoided = telling_words(pp.Study.from_dict(DIP))
    assert {"olive", "oil", "walnut", "garlic", "bean", "clove", "berry", "shallot", "peel"} <= avoided
    assert len(avoided) < len(WORDS) / 4
    drawn = {w for n in range(600) for w in words_of("s", "dip", 1, f"Taster {n}", 0, avoided).split("-")}
    assert not drawn & avoided and drawn == set(WORDS) - avoided


def test_a_study_of_everything_still_gives_three_words():
    assert len(words_of("s", "dip", 1, "Ada", 0, frozenset(WORDS)).split("-")) == 3


def test_a_late_option_changes_only_a_word_that_it_holds():
    before, after = (words_of("s", "dip", 1, "Ada", 0, a).split("-") for a in (frozenset(), frozenset({words_of("s", "dip", 1, "Ada", 0).split("-")[1]})))
    assert before[0] == after[0] and before[1] != after[1] and before[2] == after[2]


@pytest.mark.parametrize("what", ["open", "new words", "late"])
def test_no_way_to_words_gives_one_that_tells(kitchen, lead, what):
    study = crackers(lead)
    planned(lead, study)
    avoided = telling_words(kitchen.app.state.kitchen.shelf.standing(study.split("/")[-1]).study)
    assert {"oat", "butter", "olive"} <= avoided
    words = opened(lead, study)
    if what != "open":
        for _ in range(12):
            lead.post(f"{study}/tasting", what=what, taster="Ada" if what == "new words" else "Cleo")
            page = lead.get(f"{study}/tasting")
            shown = page.all(r'class="codeword">([a-z ]+)<')
            assert len(shown) == len(words) + (what == "late")  # none is forgotten
            assert not {w for s in shown for w in s.split()} & avoided
    assert not {w for address in words.values() for w in address.removeprefix("/t/").split("-")} & avoided


def test_words_are_known_again_while_the_study_changes_in_what_they_do_not_name(kitchen, lead):
    study = crackers(lead)
    planned(lead, study)
    own = opened(lead, study)["Ada"].removeprefix("/t/")
    name = study.split("/")[-1]
    lead.post(f"{study}/brief", what="about", title="Crisp oat crackers", question="Which keeps?")
    now = kitchen.app.state.kitchen.shelf.standing(name).study
    assert known_words(kitchen.book, "a secret for tests", name, 1, "Ada", telling_words(now)) == own
