"""Tastings on phones and on paper: nothing lost, nothing doubled, nothing told before the close."""

import re
from datetime import timedelta

import pytest

from proofpan.notebook.shelf import read_study

from .conftest import codes_of, crackers, marks, opened, planned


@pytest.fixture
def study(lead):
    made = crackers(lead)
    planned(lead, made)
    return made


@pytest.fixture
def phones(lead, study):
    return opened(lead, study)


def ballots(kitchen, study):
    return read_study(kitchen.book, study.split("/")[-1]).ballot_records


def test_each_taster_gets_three_words_of_their_own(phones):
    assert set(phones) == {"Ada", "Bo"}
    assert len(set(phones.values())) == 2 and all(len(a.split("/")[-1].split("-")) == 3 for a in phones.values())


def test_the_words_are_kept_only_as_a_digest(kitchen, phones):
    raw = b"".join(p.read_bytes() for p in kitchen.book.place.file.parent.rglob("*") if p.is_file())
    for address in phones.values():
        assert address.split("/")[-1].encode() not in raw


def test_the_words_may_be_typed_with_spaces_and_capitals(kitchen, phones):
    words = phones["Ada"].split("/")[-1].replace("-", " ").title()
    assert kitchen.stranger().post("/t", words=words).url == phones["Ada"]


def test_a_ballot_shows_one_plate_in_that_tasters_own_order(kitchen, study, phones):
    round_ = read_study(kitchen.book, study.split("/")[-1]).rounds[-1]
    for name, address in phones.items():
        page = kitchen.stranger().get(address)
        assert codes_of(page) == round_.orders[name]
        assert page.headline == f"Find plate {round_.orders[name][0]}"


def test_marks_are_acknowledged_when_they_are_in_the_notebook(kitchen, study, phones):
    ada = kitchen.stranger()
    code = codes_of(ada.get(phones["Ada"]))[0]
    answer = ada.client.post(phones["Ada"] + "/marks", json={"code": code, **marks(7), "at": "2026-11-25T12:01"})
    assert answer.json()["answer"] == "kept"
    assert {(b.taster, b.attribute, b.score) for b in ballots(kitchen, study)} == {
        ("Ada", a, 7.0) for a in ("overall", "snap", "flavour", "colour", "aftertaste")
    }


def test_the_same_marks_sent_again_are_the_same_marks(kitchen, study, phones):
    ada = kitchen.stranger()
    code = codes_of(ada.get(phones["Ada"]))[0]
    body = {"code": code, **marks(7), "words": "crisp", "at": "2026-11-25T12:01"}
    said = [ada.client.post(phones["Ada"] + "/marks", json=body).json()["answer"] for _ in range(3)]
    assert said == ["kept", "kept", "kept"] and len(ballots(kitchen, study)) == 5


def test_other_marks_for_a_marked_plate_change_nothing(kitchen, study, phones):
    ada = kitchen.stranger()
    code = codes_of(ada.get(phones["Ada"]))[0]
    ada.client.post(phones["Ada"] + "/marks", json={"code": code, **marks(7)})
    second = ada.client.post(phones["Ada"] + "/marks", json={"code": code, **marks(2)})
    assert second.status_code == 200 and second.json()["answer"] == "first"
    assert {b.score for b in ballots(kitchen, study)} == {7.0}


def test_a_form_without_script_goes_on_to_the_next_plate(kitchen, phones):
    ada = kitchen.stranger()
    codes = codes_of(ada.get(phones["Ada"]))
    page = ada.post(phones["Ada"] + "/marks", code=codes[0], **marks())
    assert page.headline == f"Find plate {codes[1]}"


@pytest.mark.parametrize("body", [{"m0": "11"}, {"m0": "much"}, {}, {"m0": "-1"}])
def test_marks_off_the_scale_are_refused_in_words(kitchen, study, phones, body):
    ada = kitchen.stranger()
    code = codes_of(ada.get(phones["Ada"]))[0]
    answer = ada.client.post(phones["Ada"] + "/marks", json={"code": code, **body})
    assert answer.status_code == 422 and answer.json()["why"]
    assert ballots(kitchen, study) == ()


def test_another_tasters_plate_is_refused(kitchen, phones):
    ada = kitchen.stranger()
    bos = codes_of(kitchen.stranger().get(phones["Bo"]))[0]
    assert ada.client.post(phones["Ada"] + "/marks", json={"code": bos, **marks()}).status_code == 422


@pytest.mark.parametrize("body", [b"[", b"[1]", b'"x"', b"[" * 100_000])
def test_a_broken_body_is_refused_without_a_traceback(kitchen, phones, body):
    answer = kitchen.stranger().client.post(phones["Ada"] + "/marks", content=body, headers={"content-type": "application/json"})
    assert answer.status_code == 422


def test_while_it_is_open_the_board_counts_plates_and_shows_no_score(kitchen, lead, study, phones):
    ada = kitchen.stranger()
    for code in codes_of(ada.get(phones["Ada"]))[:3]:
        ada.client.post(phones["Ada"] + "/marks", json={"code": code, **marks(9.31), "words": "unlike anything"})
    board = lead.get(f"{study}/tasting/board")
    assert "3 of 8" in board.text and "9.31" not in board.text and "unlike anything" not in board.text
    assert "9.31" not in lead.get(f"{study}/tasting").text


def test_closing_with_plates_unfinished_asks_first(lead, study, phones):
    page = lead.post(f"{study}/tasting", what="ask to close")
    assert "Close the tasting with 2 unfinished?" in page.text and "nobody can taste blind again" in page.text
    assert "Closed" in lead.post(f"{study}/tasting", what="close").headline


def test_after_the_close_marks_come_too_late_and_the_phone_is_told(kitchen, lead, study, phones):
    ada = kitchen.stranger()
    codes = codes_of(ada.get(phones["Ada"]))
    ada.client.post(phones["Ada"] + "/marks", json={"code": codes[0], **marks()})
    lead.post(f"{study}/tasting", what="close")
    assert ada.client.post(phones["Ada"] + "/marks", json={"code": codes[1], **marks()}).status_code == 410
    assert ada.client.post(phones["Ada"] + "/marks", json={"code": codes[0], **marks()}).json()["answer"] == "kept"  # acknowledged before
    assert "closed" in ada.get(phones["Ada"]).headline


def test_what_they_said_stands_by_version_after_the_close(kitchen, lead, study, phones):
    ada = kitchen.stranger()
    codes = codes_of(ada.get(phones["Ada"]))
    for code in codes:
        ada.client.post(phones["Ada"] + "/marks", json={"code": code, **marks(), "words": f"words for {code}"})
    ada.client.post(phones["Ada"] + "/choice", json={"choice": codes[2], "quote": "1"})
    page = lead.post(f"{study}/tasting", what="close")
    assert all(f"words for {code}" in page.text for code in codes)
    assert "1 would serve it" in page.text and "without a name: Ada" in page.text


def test_words_are_private_and_stay_out_of_the_file_and_the_csv(kitchen, lead, study, phones):
    ada = kitchen.stranger()
    code = codes_of(ada.get(phones["Ada"]))[0]
    ada.client.post(phones["Ada"] + "/marks", json={"code": code, **marks(), "words": "my own words"})
    assert "my own words" not in lead.client.get(f"{study}/study.yaml").text
    assert "my own words" not in lead.client.get(f"{study}/ballots.csv").text


def test_a_late_taster_gets_fresh_codes_and_is_marked_late(kitchen, lead, study, phones):
    page = lead.post(f"{study}/tasting", what="late", taster="Cleo")
    assert "Cleo" in page.text
    words = page.all(r'<p class="says sm">Cleo</p>.*?class="codeword">([a-z ]+)<')[0] if page.all(r'class="codeword">([a-z ]+)<') else ""
    cleo = kitchen.stranger()
    address = "/t/" + page.all(r'class="codeword">([a-z ]+)<')[-1].replace(" ", "-")
    assert words is not None
    codes = codes_of(cleo.get(address))
    others = {c for a in phones.values() for c in codes_of(kitchen.stranger().get(a))}
    assert len(codes) == 8 and not set(codes) & others
    cleo.client.post(address + "/marks", json={"code": codes[0], **marks()})
    assert {b.late for b in ballots(kitchen, study) if b.taster == "Cleo"} == {True}


def test_new_words_make_the_old_ones_unknown(kitchen, lead, study, phones):
    page = lead.post(f"{study}/tasting", what="new words", taster="Ada")
    fresh = "/t/" + page.all(r'class="codeword">([a-z ]+)<')[0].replace(" ", "-")
    assert fresh != phones["Ada"]
    assert kitchen.stranger().get(phones["Ada"]).status == 404
    assert kitchen.stranger().get(fresh).status == 200


def test_after_a_restart_the_words_still_open_the_ballot_though_the_lead_cannot_see_them(kitchen, phones, study):
    from proofpan.web.app import create_app

    from .conftest import Person

    again = Person(create_app(kitchen.book, clock=kitchen.clock, secret="another start"))
    assert again.get(phones["Ada"]).headline.startswith("Find plate")


def test_paper_ballots_are_typed_in_one_grid_and_a_bad_cell_is_named(kitchen, lead, study):
    page = lead.get(f"{study}/paper")
    cells = page.all(r'name="(\d{3}-m\d)"')
    assert len(cells) == 8 * 2 * 5
    row = [c for c in cells if c.startswith(cells[0][:3])]
    refused = lead.post(f"{study}/paper", **{row[0]: "12"})
    assert refused.status == 422 and row[0][:3] in refused.wrong and 'value="12"' in refused.text
    lead.post(f"{study}/paper", **{c: "5" for c in row})
    assert len(ballots(kitchen, study)) == 5


def test_a_plate_a_taster_cannot_have_leaves_their_order(kitchen, lead):
    study = crackers(lead)
    lead.post(
        f"{study}/brief",
        what="kitchen",
        country="AU",
        trays="2",
        places="2",
        loads="1",
        at_most="3",
        passes="1",
        tasters="Ada, Bo",
        **{"no-Ada": "milk", "no-Bo": ""},
    )
    planned(lead, study)
    found = read_study(kitchen.book, study.split("/")[-1])
    round_ = found.rounds[-1]
    buttered = {t.trial for t in round_.trials if t.version["fat"] == "butter"}
    assert buttered
    assert not {round_.plate("Ada", c).trial for c in round_.orders["Ada"]} & buttered
    assert {round_.plate("Bo", c).trial for c in round_.orders["Bo"]} >= buttered


def test_a_taster_with_a_no_list_has_a_ballot_of_the_same_length_as_the_others(kitchen, lead):
    study = crackers(lead)
    lead.post(
        f"{study}/brief",
        what="kitchen",
        country="AU",
        trays="2",
        places="2",
        loads="2",
        at_most="3",
        passes="1",
        tasters="Ada, Bo",
        **{"no-Ada": "milk", "no-Bo": ""},
    )
    planned(lead, study)
    lengths = {len(kitchen.stranger().client.get(a).content) for a in opened(lead, study).values()}
    assert len(lengths) == 1


def test_one_line_for_all_plates_together_stands_before_the_first(kitchen, phones):
    said = {kitchen.stranger().get(a).all(r"Before the first plate</b><span>([^<]+)<")[0] for a in phones.values()}
    assert len(said) == 1 and "sesame" in said.pop()


THIGHS = """title: Thighs
attributes: [{name: juicy}]
tasters: [Ada]
base:
  title: Thighs
  makes: 4
  ingredients: ["4 chicken thighs", "8 g fine salt"]
  method: [{id: roast, do: "Roast until the core is 74 C.", oven: 200 C fan, minutes: 35}]
factors: [{name: drying, options: [{name: none}, {name: overnight}]}]
rounds: {plates: 2}
"""


@pytest.fixture
def thighs(kitchen, lead):
    page = lead.post("/import", files={"file": ("t.yaml", THIGHS.encode(), "application/yaml")})
    made = page.url.rsplit("/", 1)[0]
    planned(lead, made)
    return made


def noted(lead, study, **sheet):
    for trial in ("1", "2"):
        assert lead.post(f"{study}/cook", what="sheet", trial=trial, once=f"{trial}{sheet}", **sheet).status == 200


def clock_before(kitchen, **ago):
    return f"{(kitchen.clock() - timedelta(**ago)).astimezone():%H:%M}"


def test_poultry_is_not_served_before_its_core_temperature_and_the_time_it_came_out_are_noted(kitchen, lead, thighs):
    refused = lead.post(f"{thighs}/tasting", what="open")
    assert refused.status == 422 and "core temperature" in refused.wrong
    noted(lead, thighs, core_c="75")
    refused = lead.post(f"{thighs}/tasting", what="open")
    assert refused.status == 422 and "Trial 1: note when it came out" in refused.wrong
    noted(lead, thighs, out=clock_before(kitchen, minutes=20))
    assert lead.post(f"{thighs}/tasting", what="open").status == 200


# 165 °F is the Food Code's 74 °C (3-401.11); (165 − 32) / 1.8 = 73.89
def test_a_kitchen_in_us_measures_is_asked_for_its_core_in_fahrenheit(kitchen, lead):
    page = lead.post("/import", files={"file": ("t.yaml", ("kitchen: {country: US}\n" + THIGHS).encode(), "application/yaml")})
    made = page.url.rsplit("/", 1)[0]
    planned(lead, made)
    assert ">Core, °F</label>" in lead.get(f"{made}/cook?trial=1").text
    noted(lead, made, core_f="160")
    refused = lead.post(f"{made}/tasting", what="open")
    assert refused.status == 422 and "its core was 160 °F, under 165" in refused.wrong
    noted(lead, made, core_f="165", out=clock_before(kitchen, minutes=20))
    assert read_study(kitchen.book, made.split("/")[-1]).trial(1).core_c == pytest.approx((165 - 32) / 1.8, abs=0.01)
    assert 'name="core_f" inputmode="decimal" value="165"' in lead.get(f"{made}/cook?trial=1").text
    for typed, says in (("hot", "isn’t a number of degrees"), ("900", "isn’t between -76 and 572 °F")):
        wrong = lead.post(f"{made}/cook", what="sheet", trial="1", core_f=typed, once=typed)
        assert wrong.status == 422 and says in wrong.wrong
    assert lead.post(f"{made}/tasting", what="open").status == 200


@pytest.mark.parametrize("ago, said", [({"hours": 2, "minutes": 30}, "2 h 30 min ago"), ({"hours": 23}, "23 h 00 min ago")])
def test_what_was_cooked_more_than_two_hours_ago_is_served_only_once_it_is_said_how_it_was_kept(kitchen, lead, thighs, ago, said):
    noted(lead, thighs, core_c="75", out=clock_before(kitchen, **ago))
    page = lead.get(f"{thighs}/tasting")
    assert said in page.text and "above 60 °C" in page.text and "kept hot or cold" in page.text
    refused = lead.post(f"{thighs}/tasting", what="open")
    assert refused.status == 422 and said in refused.wrong and "not safe to taste" in refused.wrong
    assert lead.post(f"{thighs}/tasting", what="open", held="1").status == 200
    assert [e.payload["round"] for e in kitchen.book.events(thighs.split("/")[-1], kind="kept hot or cold")] == [1]


def test_a_time_of_day_that_was_written_down_yesterday_is_yesterdays(kitchen, lead, thighs):
    noted(lead, thighs, core_c="75", out=clock_before(kitchen, minutes=5))
    kitchen.clock.move(hours=24)
    assert "1 day ago" in lead.get(f"{thighs}/tasting").text


def test_a_dish_without_meat_or_rice_asks_no_time(lead, study):
    assert lead.post(f"{study}/tasting", what="open").status == 200


def test_a_tie_break_takes_two_taps_and_says_what_one_vote_moves(kitchen, lead, study, phones):
    for address in phones.values():
        person = kitchen.stranger()
        for i, code in enumerate(codes_of(person.get(address))):
            person.client.post(address + "/marks", json={"code": code, **marks(3 + i % 5)})
    lead.post(f"{study}/tasting", what="close")
    pair = lead.get(f"{study}/verdict").all(r'name="version" value="([^"]*)"')[:2]
    page = lead.post(f"{study}/tie-break", version=pair)
    assert page.url.endswith("/tasting") and "A colleague who picks it moves that to" in page.text


def test_a_taster_left_out_for_good_leaves_the_verdict_of_never_having_asked_them(kitchen, lead, study, phones):
    for name, value in (("Ada", 7), ("Bo", 2)):
        person = kitchen.stranger()
        for i, code in enumerate(codes_of(person.get(phones[name]))):
            person.client.post(phones[name] + "/marks", json={"code": code, **marks(value + i % 3), "words": f"by {name}"})
    lead.post(f"{study}/tasting", what="close")
    page = lead.post(f"{study}/tasting", what="forget", taster="Bo")
    assert "by Bo" not in page.text and "by Ada" in page.text
    from proofpan.steps.verdict import judge

    after = read_study(kitchen.book, study.split("/")[-1])
    never = after.model_copy(update={"ballot_records": tuple(b for b in after.ballot_records if b.taster != "Bo")})
    assert judge(after).table().equals(judge(never).table())


def codes_of_trial(kitchen, study, number):
    round_ = read_study(kitchen.book, study.split("/")[-1]).rounds[-1]
    return {(p.taster, p.code) for p in round_.plates if p.trial == number}


def test_a_make_that_is_not_safe_to_taste_has_no_plate_on_the_table(kitchen, lead, study):
    lead.post(f"{study}/cook", what="sheet", trial="2", failed="not safe to taste: core 62 C", once="a")
    page = lead.get(f"{study}/tasting")
    assert "Trial 2 failed or isn’t safe to taste" in page.text
    gone = codes_of_trial(kitchen, study, 2)
    phones = opened(lead, study)
    for name, address in phones.items():
        there = codes_of(kitchen.stranger().get(address))
        assert there and not {(name, c) for c in there} & gone
    board = lead.get(f"{study}/tasting")
    assert "take away what stands there" in board.text
    codes, grid = lead.get(f"{study}/codes"), lead.get(f"{study}/paper")
    there = {c for name, c in gone}
    assert not there & set(re.findall(r"\b\d{3}\b", re.sub(r"<[^>]+>", " ", codes.text)))
    assert grid.status == 200 and not there & set(re.findall(r"\d{3}", grid.text)) and grid.text.count('name="') > 40


def test_a_make_marked_unsafe_while_tasting_is_taken_from_who_has_not_had_it(kitchen, lead, study, phones):
    ada, bo = kitchen.stranger(), kitchen.stranger()
    first = codes_of(ada.get(phones["Ada"]))[0]
    ada.client.post(phones["Ada"] + "/marks", json={"code": first, **marks(7), "at": "2026-11-25T12:01"})
    round_ = read_study(kitchen.book, study.split("/")[-1]).rounds[-1]
    number = round_.plate("Ada", first).trial
    lead.post(f"{study}/cook", what="sheet", trial=str(number), failed="not safe to taste", once="a")
    (code,) = [c for t, c in codes_of_trial(kitchen, study, number) if t == "Bo"]
    assert code not in codes_of(bo.get(phones["Bo"]))
    assert first in codes_of(ada.get(phones["Ada"]))                       # what was marked stays with the kitchen, and isn't used
    late = bo.client.post(phones["Bo"] + "/marks", json={"code": code, **marks(3), "at": "2026-11-25T12:02"})
    assert late.json()["answer"] == "kept"                                 # a mark made before the phone knew is not lost
    assert "take away what stands there" in lead.get(f"{study}/tasting").text
