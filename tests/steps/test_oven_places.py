"""A tray of bread and its photographs, read, said, kept with the oven, and remembered before a round."""

import pytest

import proofpan as pp
from proofpan.publish.oven_map import bread_map, map_rows
from proofpan.steps.oven_places import keep_places, layout_of, read_oven_places, uneven_ovens
from proofpan.study.bread_map import BreadMap, map_words, place_words
from tests.kitchens import CRACKERS, crackers
from tests.science.colour.table import saved
from tests.science.colour.test_oven_map import HOT_BACK_LEFT, shot_of


@pytest.fixture(scope="module")
def found():
    """A kitchen's oven that is hot at the back left."""
    straight, turned = (saved(shot_of(HOT_BACK_LEFT, turned=t), "PNG") for t in (False, True))
    return read_oven_places([straight], [turned], "2x3", reference="grey card")


def test_the_hot_corner_is_named_in_words_with_what_to_do(found):
    assert found.says[0].startswith("Back left browns most")
    assert "steps of lightness apart, at least" in found.says[0]
    assert "Turn the tray halfway, or leave back left empty" in found.says[1]
    assert found.bread.told > 2


def test_it_is_kept_with_the_oven_and_said_before_a_round(found):
    study = keep_places(crackers(), None, found)
    assert pp.Study.from_text(study.to_yaml()).brief.kitchen.ovens[0].bread == found.bread
    assert any("oven main browns most at the back left" in c for c in pp.next_round(study).cautions)
    assert not uneven_ovens(crackers())


def test_a_map_as_wide_as_the_tray_names_the_place_by_its_number():
    one = BreadMap(rows=1, columns=2, darker=(3.0, -3.0), low=(1.0, -5.0), high=(5.0, -1.0), told=2.0)
    kitchen = crackers().brief.kitchen
    ovens = (kitchen.ovens[0].model_copy(update={"bread": one}),)
    study = crackers()
    study = study.model_copy(update={"brief": study.brief.model_copy(update={"kitchen": kitchen.model_copy(update={"ovens": ovens})})})
    assert "left (place 1 of each tray)" in uneven_ovens(study)[0]


def test_an_even_oven_asks_for_nothing():
    even = BreadMap(rows=1, columns=2, darker=(0.4, -0.4), low=(-1.0, -1.8), high=(1.8, 1.0), told=0.0)
    assert "Nothing has to change" in map_words(even)[0]


def test_places_are_named_as_a_cook_stands_before_the_oven():
    nine = BreadMap(rows=3, columns=3, darker=(0.0,) * 9)
    assert [place_words(nine, p) for p in (0, 4, 8)] == ["back left", "middle", "front right"]
    five = BreadMap(rows=1, columns=5, darker=(0.0,) * 5)
    assert place_words(five, 4) == "5 from the left"


@pytest.mark.parametrize(("text", "layout"), [("2x3", (2, 3)), ("2 × 3", (2, 3)), ("1x2", (1, 2))])
def test_layouts_are_read(text, layout):
    assert layout_of(text) == layout


@pytest.mark.parametrize("call", [
    lambda: layout_of("two by three"),
    lambda: read_oven_places([], [], "2x3"),
    lambda: read_oven_places([b"x"], [b"y", b"z"], "2x3"),
    lambda: read_oven_places([b"no photograph"], [], "2x3"),
])
def test_what_cannot_be_read_is_said_in_a_sentence(call):
    with pytest.raises(pp.ProofpanError) as said:
        call()
    assert len(str(said.value)) > 20


def test_the_picture_has_every_place_with_its_range(found):
    svg = bread_map(found.bread)
    assert svg.count("<rect") >= 6
    assert "back of the oven" in svg
    assert len(map_rows(found.bread)) == 2


def test_a_map_with_too_few_figures_is_refused():
    with pytest.raises(pp.ProofpanError, match="as many figures"):
        pp.Study.from_text(CRACKERS.replace("{name: main,", "{name: main, bread: {rows: 2, columns: 3, darker: [1, 2]},"))
