"""A quick comparison alone: from nothing to what can be said, without script."""

import re

import pytest

from .conftest import Person


def begin(lead: Person, **more):
    fields = {"option": ["salted", "not salted"], "who": "1", "mode": "marks", "turns": "2", "dont_eat": "", **more}
    return lead.post("/quick", **fields)


def following(page) -> dict:
    """The fields of the comparison that a finished one offers."""
    form = re.search(r'<form method="post" action="/quick">(.*?)</form>', page.text, re.S).group(1)
    fields = dict(re.findall(r'name="(\w+)" value="([^"]*)"', form))
    return {k: v for k, v in fields.items() if k not in ("csrf", "option")} | {"option": re.findall(r'name="option" value="([^"]*)"', form)}


def under(page) -> dict[str, str]:
    return dict(zip(page.all(r"<span>(\d{3})</span>"), page.all(r"<b>under ([^<]+)</b>"), strict=True))


def test_two_options_give_two_codes_and_how_to_lose_track_of_them(lead):
    page = begin(lead)
    assert page.url.endswith("/codes")
    assert sorted(under(page).values()) == ["not salted", "salted"]
    assert "Turn your back" in page.text


def test_one_option_is_refused_and_what_was_typed_stays(lead):
    page = begin(lead, option=["salted"])
    assert page.status == 422
    assert "two to 6 options" in page.wrong
    assert 'value="salted"' in page.text


def test_the_code_is_asked_for_only_after_the_marks(lead):
    study = begin(lead).url.removesuffix("/codes")
    first = lead.get(f"{study}/alone")
    assert 'name="m0"' in first.text and 'name="code"' not in first.text
    second = lead.post(f"{study}/alone", what="marks", number="1", m0="6", words="crisp")
    assert second.headline == "Now lift the plate. What is written under it?"
    assert 'name="m0"' not in second.text


def test_marks_cannot_be_changed_once_they_are_made(kitchen, lead):
    study = begin(lead).url.removesuffix("/codes")
    lead.post(f"{study}/alone", what="marks", number="1", m0="6")
    lead.post(f"{study}/alone", what="marks", number="1", m0="9")  # the form sent again, with another mark
    marked = [e.payload["marks"] for e in kitchen.book.events(study.split("/")[-1], kind="marked alone")]
    assert marked == [{"liking": 6.0}]


def test_an_unknown_code_names_the_nearest(lead):
    page = begin(lead)
    codes, study = list(under(page)), page.url.removesuffix("/codes")
    lead.post(f"{study}/alone", what="marks", number="1", m0="6")
    refused = lead.post(f"{study}/alone", what="code", code=codes[0][:2])
    assert refused.status == 422 and codes[0] in refused.wrong


def test_a_plate_is_marked_once_a_turn(lead):
    page = begin(lead)
    codes, study = list(under(page)), page.url.removesuffix("/codes")
    lead.post(f"{study}/alone", what="marks", number="1", m0="6")
    lead.post(f"{study}/alone", what="code", code=codes[0])
    lead.post(f"{study}/alone", what="marks", number="2", m0="3")
    assert "marked already" in lead.post(f"{study}/alone", what="code", code=codes[0]).wrong


def taste_all(lead: Person, page, scores: dict[str, str]) -> str:
    study, codes = page.url.removesuffix("/codes"), under(page)
    number = 0
    for _turn in range(2):
        for code, option in codes.items():
            number += 1
            lead.post(f"{study}/alone", what="marks", number=str(number), m0=scores[option])
            lead.post(f"{study}/alone", what="code", code=code)
    return study


def test_both_turns_reach_the_study_under_the_right_plates(kitchen, lead):
    from proofpan.notebook.shelf import read_study

    study = taste_all(lead, begin(lead), {"salted": "8", "not salted": "3"})
    rows = read_study(kitchen.book, study.split("/")[-1]).ballots
    assert sorted(zip(rows["version"], rows["pass"], rows["score"], strict=True)) == [
        ("version=not salted", 1, 3),
        ("version=not salted", 2, 3),
        ("version=salted", 1, 8),
        ("version=salted", 2, 8),
    ]


def test_the_verdict_speaks_by_your_palate_and_names_the_better_one(lead):
    study = taste_all(lead, begin(lead), {"salted": "9", "not salted": "2"})
    page = lead.get(f"{study}/verdict")
    assert "salted" in page.headline and "not salted" not in page.headline
    assert "By your palate" in page.text or "palate" in page.text


def test_a_plate_that_cannot_be_read_is_left_out_not_guessed(kitchen, lead):
    study = begin(lead).url.removesuffix("/codes")
    lead.post(f"{study}/alone", what="marks", number="1", m0="6")
    lead.post(f"{study}/alone", what="unreadable")
    assert kitchen.book.events(study.split("/")[-1], kind="ballot") == ()


def test_a_plate_that_could_not_be_read_stops_nobody_from_making_them_again(lead):
    page = begin(lead, turns="1")
    codes, study = list(under(page)), page.url.removesuffix("/codes")
    lead.post(f"{study}/alone", what="marks", number="1", m0="6")
    lead.post(f"{study}/alone", what="unreadable")
    lead.post(f"{study}/alone", what="marks", number="2", m0="3")
    page = lead.post(f"{study}/alone", what="code", code=codes[0])
    assert "1 mark is in the notebook; 1 left out" in page.text
    page = lead.get(f"{study}/codes")
    assert page.headline == "These plates are tasted." and "Make them again, fresh codes" in page.text
    again = lead.post(f"{study}/codes")
    assert again.status == 200 and not set(codes) & set(under(again))


def test_triangles_count_the_odd_ones_found_over_the_turns_that_were_fixed(lead):
    page = begin(lead, mode="triangles", turns="6")
    for turn in range(6):
        shown = lead.get(page.url)
        plates = under(shown)
        odd = next(c for c, o in plates.items() if list(plates.values()).count(o) == 1)
        shown = lead.post(page.url, turn=str(turn), code=odd)
    assert shown.headline.startswith("6 right of 6: you can tell them apart.")  # 1/3^6 = 0.0014, exact binomial
    assert "Mark which is better" in shown.text and "new turns" not in shown.text
    marked = lead.post("/quick", **following(shown))
    assert marked.url.endswith("/codes") and sorted(under(marked).values()) == ["not salted", "salted"]


# none of six right calls for more turns of its own series; of twenty, for the simpler of the two and no more tasting
@pytest.mark.parametrize(("turns", "offers"), [(6, "Fix 20 new turns"), (20, "")])
def test_triangles_that_told_nothing_say_what_to_print_and_offer_what_would_tell(lead, turns, offers):
    page = begin(lead, mode="triangles", turns=str(turns))
    for turn in range(turns):
        plates = under(lead.get(page.url))
        alike = next(c for c, o in plates.items() if list(plates.values()).count(o) == 2)
        shown = lead.post(page.url, turn=str(turn), code=alike)
    assert shown.headline.startswith(f"0 right of {turns}") and "ublish the simpler or the cheaper of the two" in shown.text
    assert offers in shown.text and ("new turns" in shown.text) is bool(offers) and "Mark which is better" not in shown.text
    if offers:
        assert "Turn 1 of 20" in lead.post("/quick", **following(shown)).text


def test_turns_that_nobody_fixed_are_enough_to_tell_something(kitchen, lead):
    # two triangles right happen by luck 1 time in 9, six by 1 in 729 (1/3^n): two could never show anything at 95 in 100
    assert "Turn 1 of 6" in begin(lead, mode="triangles", turns="").text
    assert "2 turns in all" in begin(lead, turns="").text


def test_a_turn_sent_twice_counts_once(kitchen, lead):
    page = begin(lead, mode="triangles", turns="6")
    code = next(iter(under(lead.get(page.url))))
    for _ in range(2):
        lead.post(page.url, turn="0", code=code)
    assert len(kitchen.book.events(page.url.split("/")[2], kind="triangle")) == 1


@pytest.mark.parametrize("turns", ["0", "61", "many"])
def test_turns_that_cannot_be_are_refused_in_words(lead, turns):
    assert begin(lead, turns=turns).status == 422


def test_a_quick_comparison_grows_into_a_study_with_what_was_tasted(lead):
    study = taste_all(lead, begin(lead), {"salted": "8", "not salted": "3"})
    page = lead.post(f"{study}/brief", what="add option", factor="version", name="half salted", verb="name only", why="a late idea")
    assert page.status == 200 and "half salted" in page.text
    assert "4 answers so far" in page.text or "4 ballots" in page.text


def test_two_tasters_get_codes_of_their_own(lead):
    page = begin(lead, who="2", names="Ada, Bo")
    codes = page.all(r"<span>(\d{3})</span>")
    assert len(codes) == len(set(codes)) == 8  # 2 plates × 2 tasters × 2 turns


def test_the_same_form_sent_twice_begins_one_study(kitchen, lead):
    first, second = begin(lead, once="abc"), begin(lead, once="abc")
    assert first.url == second.url and len(kitchen.book.studies()) == 1


def test_the_notebook_is_backed_up_in_one_click(lead):
    begin(lead)
    answer = lead.client.post("/backup", data={"csrf": lead.csrf})
    assert answer.status_code == 200 and answer.content.startswith(b"PK")


def test_over_two_days_each_option_is_made_first_as_often_as_last(lead):
    """A B, then B A: counterbalanced order, common practice in sensory trials."""
    page = begin(lead, turns="1")
    first = page.all(r"in this order: ([^.]+)\.")[0]
    mark_all(lead, page)
    second = lead.post(page.url).all(r"in this order: ([^.]+)\.")[0]
    assert sorted(first.split(", then ")) == sorted(second.split(", then ")) and first.split(", then ") == second.split(", then ")[::-1]


def mark_all(lead, page):
    study = page.url.removesuffix("/codes")
    for number, code in enumerate(under(page), 1):
        lead.post(f"{study}/alone", what="marks", number=str(number), m0="6")
        lead.post(f"{study}/alone", what="code", code=code)


def test_the_verdict_says_who_cooked_who_tasted_and_how_it_was_blinded(lead):
    page = begin(lead, turns="1", names="")
    mark_all(lead, page)
    study = page.url.removesuffix("/codes")
    said = lead.get(f"{study}/verdict").text
    assert "Taster 1 tasted 2 plates." in said and "Who cooked isn’t noted" in said
    assert "each was marked before the code under it was read" in said
    lead.post(f"{study}/brief", what="kitchen", people="Taster 1", loads="1", at_most="12", passes="1", plates="2", tasters="Taster 1")
    assert "Taster 1 cooked too: the codes hide the version" in lead.get(f"{study}/verdict").text
    lead.post(f"{study}/brief", what="kitchen", people="Zoë", loads="1", at_most="12", passes="1", plates="2", tasters="Taster 1")
    assert "Zoë cooked and didn’t taste." in lead.get(f"{study}/verdict").text


def test_a_quick_comparison_grows_into_a_planned_study_and_a_planned_one_gives_codes(lead):
    page = begin(lead, turns="1")
    mark_all(lead, page)
    study = page.url.removesuffix("/codes")
    assert f'href="{study}/brief#notes"' in lead.get(page.url).text
    recipe = "Popcorn. Serves 2.\n60 g popping corn\n20 g butter\n2 g salt\nPop the corn in a lidded pan, toss with the butter and the salt."
    grown = lead.post(f"{study}/brief", what="recipe", recipe=recipe)
    assert "Propose a round" in grown.text and 'class="steps"' in grown.text  # the whole ruler now
    assert "Taster 1 tasted 2 plates." in lead.get(f"{study}/verdict").text  # what was tasted stands
    planned_one = lead.post("/new", recipe=recipe, idea="3 g salt", instead="salt").url.removesuffix("/brief")
    codes = lead.post(f"{planned_one}/codes")
    assert set(under(codes).values()) == {"3 g salt", "salt"}
    assert "2 makes of each" in codes.text and "One make of each" not in codes.text
    assert "“3 g salt”, then “salt”, then “salt”, then “3 g salt”" in codes.text or "“salt”, then “3 g salt”, then “3 g salt”, then “salt”" in codes.text
    assert codes.all(r'aria-current="step"><b>([^<]+)') == ["Tasting"]
    assert lead.get(f"{planned_one}/alone").headline == "Taste the first plate from the left."


def test_the_control_is_made_again_when_there_is_more_than_a_days_plates(kitchen, lead):
    page = begin(lead, turns="1")
    study = page.url.removesuffix("/codes")
    assert "is the control" not in page.text  # nothing is tasted yet: it would only be in the way
    mark_all(lead, page)
    again = lead.get(page.url).text
    assert "made again each day, is the control" in again and "Again, with the control" not in again
    lead.post(f"{study}/brief", what="add option", factor="version", name="half salted", verb="name only", why="a late idea")
    page = lead.get(page.url)
    assert "Make “salted” again too, as the control" in page.text and "Again, with the control" in page.text
    page = lead.post(page.url, control="1")
    assert "salted" in under(page).values() and len(under(page)) >= 2
