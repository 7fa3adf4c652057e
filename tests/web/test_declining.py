"""“Not that, because …” on every page that proposes something: kept, undone by name, taken along in the file, not proposed again."""

import yaml

from proofpan.notebook.shelf import add_ballots
from proofpan.study.study import Study
from proofpan.web.declining import EARLIER

from .conftest import crackers, planned

HIDDEN = r'(?:<input type="hidden" name="(?:csrf|base|once)" value="[^"]*">)*'
PROPOSAL = rf'<form method="post" action="[^"]*/not-that" class="not">{HIDDEN}<input type="hidden" name="proposal" value="([^"]*)">'


def declined_in(lead, study):
    return yaml.safe_load(lead.client.get(f"{study}/study.yaml").text).get("declined", [])


def test_a_sources_strength_is_declined_undone_and_considered_again(lead):
    study = crackers(lead)
    (words,) = lead.get(f"{study}/sources").all(PROPOSAL)
    assert words == "11 g malt syrup per 250 g flour, as the source means"
    page = lead.post(f"{study}/not-that", proposal=words, why="ours is a darker syrup", back="sources")
    assert page.url.endswith("/sources") and page.headline == "What you intend differs from what you read, and stands."
    assert "Not that, because ours is a darker syrup." in page.text and 'name="as_meant"' not in page.text
    assert declined_in(lead, study) == [{"proposal": words, "why": "ours is a darker syrup", "on": "2026-11-25"}]
    page = lead.post(f"{study}/undo", back="sources")
    assert page.url.endswith("/sources") and page.all(PROPOSAL) == [words] and declined_in(lead, study) == []
    assert "Undid: not that: 11 g malt syrup" in page.text and "Redo: not that: 11 g malt syrup" in page.text
    assert "ours is a darker syrup" in lead.post(f"{study}/redo", back="sources").text
    page = lead.post(f"{study}/not-that", what="again", proposal=words, back="sources")
    assert page.all(PROPOSAL) == [words] and "Undo: considered again: 11 g malt syrup" in page.text


def test_one_tap_without_a_word_is_enough_and_twice_is_once(kitchen, lead):
    study = crackers(lead)
    (words,) = lead.get(f"{study}/sources").all(PROPOSAL)
    page = [lead.post(f"{study}/not-that", proposal=words, back="sources") for _ in range(2)][1]
    assert "because it’s not for us" in page.text and len(declined_in(lead, study)) == 1
    assert [e.note for e in kitchen.book.history(study.split("/")[-1])].count(f"not that: {words}") == 1


def test_an_audits_finding_is_let_stand_and_its_reason_is_offered_where_it_stops_publishing(lead):
    recipe = "Oat crackers. Makes 30 crackers.\n250 g plain flour\n60 g unsalted butter\n110 g water\n4 g fine salt\n"
    recipe += "Rub the butter into the flour, add the water. Bake at 170 °C fan until gold, about 18 minutes."
    study = lead.post("/new", recipe=recipe, idea="50 g olive oil", instead="unsalted butter").url.removesuffix("/brief")
    page = lead.get(f"{study}/recipe")
    finding = next(w for w in page.all(PROPOSAL) if "salt" in w)
    assert 'name="waive-audit" value=""' in page.text
    for words in page.all(PROPOSAL):
        page = lead.post(f"{study}/not-that", proposal=words, why="the salt goes on at the table", back="recipe")
    assert page.url.endswith("/recipe") and not page.all(PROPOSAL)
    assert 'name="waive-audit" value="the salt goes on at the table"' in page.text
    assert finding in [d["proposal"] for d in declined_in(lead, study)]
    assert "stops publishing" in page.text  # it still stops it: leaving it out knowingly is said in the edition


def test_the_next_trials_and_a_tie_break_are_declined_on_the_verdict_itself(kitchen, lead):
    study = crackers(lead)
    planned(lead, study)
    name = study.split("/")[-1]
    standing = kitchen.app.state.kitchen.shelf.standing
    rows = [{"round": 1, "trial": t.trial, "taster": who, "attribute": "snap", "score": 4 + t.trial % 4 + n}
            for t in standing(name).study.rounds[0].trials for n, who in enumerate(standing(name).study.tasters)]
    add_ballots(kitchen.book, name, rows)
    page = lead.get(f"{study}/verdict")
    (tie,) = page.all(PROPOSAL)
    assert tie.startswith("A tie-break between ")
    known = standing(name).verdict
    page = lead.post(f"{study}/not-that", proposal=tie, why="no colleague is about", back="verdict")
    assert "Not that, because no colleague is about." in page.text and 'type="checkbox" name="version"' in page.text
    assert not page.all(r'(name="version" value="[^"]*" checked)')
    assert standing(name).verdict is known  # no figure hangs on it: nothing is judged anew
    next_one = page.all(r'name="back" value="verdict"><input type="hidden" name="version" value="([^"]*)"')[0]
    page = lead.post(f"{study}/rounds", what="never", back="verdict", version=next_one, why="it won't roll")
    assert page.url.endswith("/verdict") and f'name="version" value="{next_one}"><button class="word"' not in page.text
    assert "Undo: ruled out" in page.text
    page = lead.post(f"{study}/undo", back="verdict")
    assert page.url.endswith("/verdict") and "Undid: ruled out" in page.text


def test_what_was_declined_comes_in_again_with_the_file(lead):
    study = crackers(lead)
    (words,) = lead.get(f"{study}/sources").all(PROPOSAL)
    lead.post(f"{study}/not-that", proposal=words, why="a darker syrup", back="sources")
    text = lead.client.get(f"{study}/study.yaml").text
    assert [d.why for d in Study.from_text(text).brief.declined] == ["a darker syrup"]
    again = lead.post("/import", files={"file": ("again.yaml", text.encode(), "application/yaml")})
    assert "a darker syrup" in lead.get(again.url.rsplit("/", 1)[0] + "/sources").text


def test_a_reason_that_an_older_notebook_kept_beside_the_brief_still_counts(kitchen, lead):
    study = crackers(lead)
    (words,) = lead.get(f"{study}/sources").all(PROPOSAL)
    kitchen.book.append(study.split("/")[-1], EARLIER, {"proposal": words, "why": "long ago"}, key="declined:1")
    assert "Not that, because long ago." in lead.get(f"{study}/sources").text


def test_nobody_is_sent_elsewhere_by_a_form(lead):
    study = crackers(lead)
    assert lead.post(f"{study}/not-that", proposal="x", back="//elsewhere.test").url == f"{study}/brief"
