"""Other ballots: laid before they open, answered on phones and paper, told by themselves, and nothing leaks."""

import re
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest

from proofpan.notebook.shelf import read_study
from proofpan.steps.verdict import judge
from proofpan.study.sittings import KINDS

from .conftest import Kitchen, codes_of, crackers, marks, opened, planned
from .test_leaks import SIX, crawl, telling, without_letters_around


@cache
def set_up() -> bytes:
    """A notebook's file with six tasters (one can't have milk) and a round planned."""
    with TemporaryDirectory() as folder:
        kitchen = Kitchen(Path(folder))
        lead = kitchen.lead()
        made = crackers(lead)
        given = {"country": "AU", "trays": "2", "places": "2", "loads": "1", "at_most": "3", "passes": "1"}
        assert lead.post(f"{made}/brief", what="kitchen", **given, **{"tasters": SIX, "no-Cleo": "milk"}).status == 200
        planned(lead, made)
        kitchen.book.close()
        return (Path(folder) / "notebook.sqlite").read_bytes()


@pytest.fixture
def kitchen(tmp_path):
    made = Kitchen(tmp_path, set_up())
    yield made
    made.book.close()


@pytest.fixture
def study():
    return "/study/seeded-oat-crackers"


def held(kitchen, study):
    return read_study(kitchen.book, study.split("/")[-1])


def laid(lead, study, kind, **more):
    page = lead.post(f"{study}/tasting", what="lay", kind=kind, **more)
    assert page.status == 200, page.wrong
    return page


def answered(sitting, code, right=True):
    """A phone's body for a set, as one who can tell or can't."""
    found = next(s for s in sitting.sets if s.code == code)
    if sitting.by_plate:
        return {"code": code, **{a.name: str(int((a.low + a.high) / 2)) for a in sitting.asks}}
    if sitting.kind == "ranking":
        return {"code": code, "pick": " ".join(p.code for p in sorted(found.plates, key=lambda p: p.trial))}
    if sitting.kind == "preference":
        return {"code": code, "pick": min(found.plates, key=lambda p: p.trial).code}
    wrong = [c for c in found.open_codes if c not in found.right][: len(found.right)]
    return {"code": code, "pick": " ".join(found.right if right else wrong)}


def all_answer(kitchen, study, phones):
    sitting = held(kitchen, study).sittings[-1]
    for address in phones.values():
        person = kitchen.stranger()
        for code in codes_of(person.get(address)):
            said = person.client.post(address + "/marks", json={**answered(sitting, code), "words": "kept apart"})
            assert said.json()["answer"] == "kept", said.text
    return sitting


@pytest.mark.parametrize("kind", KINDS)
def test_every_kind_goes_from_laying_to_its_sentence_and_leaves_the_verdict_alone(kitchen, lead, study, kind):
    before = judge(held(kitchen, study)).table()
    laid(lead, study, kind)
    phones = opened(lead, study)
    board = lead.get(f"{study}/tasting/board")
    assert "0 of" in board.text
    all_answer(kitchen, study, phones)
    assert "Everyone has finished" in lead.get(f"{study}/tasting").headline
    closed = lead.post(f"{study}/tasting", what="close")
    says = closed.all(r'<h2>[^<]+<small>The verdict’s scores stay as they are.</small></h2><div><p class="says sm">([^<]+)</p>')
    assert len(says) == 1 and says[0].endswith(".") and "Nobody has answered" not in says[0]
    assert "kept apart" in closed.text
    assert judge(held(kitchen, study)).table().equals(before)
    assert held(kitchen, study).ballot_records == ()


@pytest.mark.parametrize("kind", KINDS)
def test_the_crawl_finds_nothing_whatever_is_asked(kitchen, lead, study, kind):
    laid(lead, study, kind)
    phones = opened(lead, study)
    names = [n for n in telling(held(kitchen, study)) if not n.isdigit()]
    lengths, shapes = set(), set()
    sitting = held(kitchen, study).sittings[-1]
    for address in phones.values():
        person = kitchen.stranger()
        for path, answer in crawl(person, address).items():
            if path != address:
                continue
            lengths.add(len(answer.content))
            said = answer.text + str(dict(answer.headers))
            assert not [n for n in names if without_letters_around(n).search(said.replace("Oat crackers", ""))]
        for i, code in enumerate(codes_of(person.get(address))):
            answer = person.client.post(address + "/marks", json=answered(sitting, code, right=i % 2 == 0))
            shapes.add((len(answer.content), answer.status_code, tuple(sorted((k, v) for k, v in answer.headers.items() if k != "date"))))
        lengths.add(len(person.client.get(address).content))
    assert len(lengths) == 1 and len(shapes) == 1


@pytest.mark.parametrize("kind", KINDS)
def test_no_plate_reaches_a_taster_who_cannot_have_it(kitchen, lead, study, kind):
    laid(lead, study, kind)
    made = held(kitchen, study)
    buttered = {t.trial for t in made.rounds[-1].trials if t.version["fat"] == "butter"}
    assert buttered and not {p.trial for s in made.sittings[-1].of("Cleo") for p in s.plates} & buttered


def test_codes_of_a_sitting_are_nobody_elses(kitchen, lead, study):
    laid(lead, study, "triangle", turns="2")
    made = held(kitchen, study)
    codes = [p.code for s in made.sittings[-1].sets for p in s.plates]
    assert len(codes) == len(set(codes)) and not set(codes) & {p.code for p in made.rounds[-1].plates}


def test_the_same_answer_again_is_one_answer_and_another_changes_nothing(kitchen, lead, study):
    laid(lead, study, "triangle")
    address = opened(lead, study)["Ada"]
    person = kitchen.stranger()
    code = codes_of(person.get(address))[0]
    sitting = held(kitchen, study).sittings[-1]
    said = [person.client.post(address + "/marks", json=answered(sitting, code, right)).json()["answer"] for right in (True, True, False)]
    assert said == ["kept", "kept", "first"] and len(held(kitchen, study).answers) == 1


@pytest.mark.parametrize(
    "kind, body, says",
    [
        ("triangle", {"pick": ""}, "Choose one plate"),
        ("triangle", {"pick": "000"}, "isn't among them"),
        ("two out of five", {"pick": "FIRST"}, "Choose two plates"),
        ("ranking", {"pick": "FIRST"}, "every plate one place"),
        ("liking", {"m0": "10"}, "off the scale"),
        ("liking", {"m0": "4.5"}, "one of the steps"),
        ("liking", {}, "Still to answer"),
        ("just right", {"m0": "5"}, "Still to answer"),
    ],
)
def test_half_an_answer_is_refused_in_words(kitchen, lead, study, kind, body, says):
    laid(lead, study, kind)
    address = opened(lead, study)["Ada"]
    person = kitchen.stranger()
    code = codes_of(person.get(address))[0]
    body = {k: v.replace("FIRST", code[:3]) for k, v in body.items()}
    answer = person.client.post(address + "/marks", json={"code": code, **body})
    assert answer.status_code == 422 and says in answer.json()["why"]
    assert held(kitchen, study).answers == ()


@pytest.mark.parametrize("kind", ["ranking", "two out of five", "triangle", "liking"])
def test_a_form_without_script_answers_too(kitchen, lead, study, kind):
    laid(lead, study, kind)
    address = opened(lead, study)["Ada"]
    person = kitchen.stranger()
    code = codes_of(person.get(address))[0]
    body = answered(held(kitchen, study).sittings[-1], code)
    page = person.post(address + "/marks", **{k: v.split() if k == "pick" else v for k, v in body.items()})
    assert page.status == 200, page.wrong
    assert len(held(kitchen, study).answers) == 1


@pytest.mark.parametrize("kind", KINDS)
def test_paper_ballots_of_every_kind_are_printed_and_typed_in(kitchen, lead, study, kind):
    laid(lead, study, kind)
    sitting = held(kitchen, study).sittings[-1]
    for name in ("paper-ballots", "labels", "reveal"):
        assert lead.client.get(f"{study}/papers/{name}.pdf").content[:5] == b"%PDF-"
    cells = lead.get(f"{study}/paper").all(r'name="([^"]+-(?:m\d|pick))"')
    assert len(cells) == len(sitting.sets) * max(1, len(sitting.asks))
    found = sitting.sets[0]
    body = answered(sitting, found.code)
    page = lead.post(f"{study}/paper", **{f"{found.taster}/{found.code}-{k}": v for k, v in body.items() if k != "code"})
    assert page.status == 200, page.wrong
    assert [(a.taster, a.code) for a in held(kitchen, study).answers] == [(found.taster, found.code)]


def test_a_question_that_names_what_varies_is_refused(lead, study):
    page = lead.post(f"{study}/tasting", what="lay", kind="lines", asked="olive oil taste: none, strong")
    assert page.status == 422 and "names what varies" in page.wrong
    assert "olive oil taste" in page.text  # what was typed stays


def test_a_triangle_of_three_plates_is_refused(lead, study):
    page = lead.post(f"{study}/tasting", what="lay", kind="triangle", trials=["1", "2", "3"])
    assert page.status == 422 and "choose two" in page.wrong


def test_after_a_triangle_the_ordinary_ballot_can_be_asked_of_the_same_plates(kitchen, lead, study):
    laid(lead, study, "triangle")
    all_answer(kitchen, study, opened(lead, study))
    lead.post(f"{study}/tasting", what="close")
    page = lead.post(f"{study}/tasting", what="open", kind="marks")
    assert page.status == 200, page.wrong
    address = "/t/" + page.all(r'class="codeword">([a-z ]+)<')[0].replace(" ", "-")
    person = kitchen.stranger()
    person.client.post(address + "/marks", json={"code": codes_of(person.get(address))[0], **marks()})
    made = held(kitchen, study)
    assert len(made.ballot_records) == 5 and {b.round for b in made.ballot_records} == {1}
    closed = lead.post(f"{study}/tasting", what="close")
    assert "Triangle" in closed.text and "What they said" in closed.text


def test_a_late_taster_answers_the_same_questions_and_is_marked_late(kitchen, lead, study):
    laid(lead, study, "triangle", turns="2")
    opened(lead, study)
    page = lead.post(f"{study}/tasting", what="late", taster="Gus")
    address = "/t/" + page.all(r'class="codeword">([a-z ]+)<')[-1].replace(" ", "-")
    person = kitchen.stranger()
    codes = codes_of(person.get(address))
    assert len(codes) == 2
    person.client.post(address + "/marks", json=answered(held(kitchen, study).sittings[-1], codes[0]))
    assert [(a.taster, a.late) for a in held(kitchen, study).answers] == [("Gus", True)]


def test_a_taster_left_out_is_not_counted_in_what_it_says(kitchen, lead, study):
    from proofpan.steps.sitting_words import sitting_result

    laid(lead, study, "triangle")
    all_answer(kitchen, study, opened(lead, study))
    lead.post(f"{study}/tasting", what="close")
    before = sitting_result(held(kitchen, study), held(kitchen, study).sittings[-1])
    lead.post(f"{study}/tasting", what="forget", taster="Ada")
    made = held(kitchen, study)
    after = sitting_result(made, made.sittings[-1])
    never = made.model_copy(update={"answers": tuple(a for a in made.answers if a.taster != "Ada")})
    assert after.answers == before.answers - 1 and after == sitting_result(never, never.sittings[-1])


def test_a_study_file_takes_its_other_ballots_along(kitchen, lead, study):
    from proofpan.study.study import Study

    laid(lead, study, "duo-trio")
    all_answer(kitchen, study, opened(lead, study))
    made = held(kitchen, study)
    again = Study.from_text(made.to_yaml())
    assert again.sittings == made.sittings and again.answers == made.answers


def test_pages_of_two_tasters_differ_in_nothing_but_name_words_and_codes(kitchen, lead, study):
    laid(lead, study, "triangle")
    phones = opened(lead, study)
    bare = set()
    for name in ("Ada", "Bo", "Dov"):
        text = kitchen.stranger().get(phones[name]).text.replace(phones[name], "/t/#").replace(name, "#")
        bare.add(re.sub(r"\s+", " ", re.sub(r"\b\d{3}\b", "###", text)))
    assert len(bare) == 1
