import random
import time

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from proofpan.notebook import Notebook, NotebookError, finding, tables


def found(notebook, words, **how):
    return [hit.study for hit in notebook.search(words, **how)]


@pytest.fixture
def kitchen(notebook):
    notebook.create("Seeded oat crackers", "ingredients:\n- 250 g plain flour\n- 60 g crème fraîche\n")
    notebook.create("Cucumber dip", "one cucumber, mint, not salted", step="verdict")
    notebook.create("Roast chicken thighs", "brine, dry overnight; crackers on the side")
    return notebook


@pytest.mark.parametrize(
    "words, studies",
    [
        ("cucumber", ["cucumber-dip"]),
        ("CUCUM", ["cucumber-dip"]),
        ("creme fraiche", ["seeded-oat-crackers"]),
        ("crème", ["seeded-oat-crackers"]),
        ("cracker", ["seeded-oat-crackers", "roast-chicken-thighs"]),  # the title weighs more
        ("crackers brining", ["roast-chicken-thighs"]),
        ("not salted", ["cucumber-dip"]),  # small words count
        ("250", ["seeded-oat-crackers"]),
        ("mint brine", []),
        ("", []),
        ('"*() -', []),
    ],
)
def test_a_search_finds(kitchen, words, studies):
    assert found(kitchen, words) == studies


def test_a_hit_shows_the_words_around_it(kitchen):
    (hit,) = kitchen.search("cucumber mint")
    assert hit.title == "Cucumber dip" and hit.step == "verdict"
    assert "«cucumber»" in hit.snippet and "«mint»" in hit.snippet


def test_a_search_reads_the_newest_revision_only(kitchen):
    kitchen.save("cucumber-dip", "one marrow", note="marrow", title="Marrow dip")
    assert found(kitchen, "mint") == [] and found(kitchen, "marrow") == ["cucumber-dip"]
    kitchen.undo("cucumber-dip")
    assert found(kitchen, "mint") == ["cucumber-dip"] and found(kitchen, "marrow") == []


def test_a_search_text_stands_in_for_the_document(kitchen):
    kitchen.create("Plum jam", "{}", search_text="plums sugar")
    assert found(kitchen, "plum sugar") == ["plum-jam"]
    kitchen.save("plum-jam", "{} ", note="x", search_text="damson")
    assert found(kitchen, "sugar") == [] and found(kitchen, "damson") == ["plum-jam"]


def test_at_most_so_many_are_shown(kitchen):
    assert found(kitchen, "cracker", limit=1) == ["seeded-oat-crackers"]
    with pytest.raises(NotebookError, match="at least one study, not 0"):
        kitchen.search("cracker", limit=0)


def test_a_very_long_document_is_kept_whole_and_found(notebook):
    text = " ".join(f"word{n}" for n in range(130_000))
    study = notebook.create("Long", text).id
    assert notebook.document(study).text == text
    assert found(notebook, "word77") == [study]


@given(words=st.text(max_size=40))
@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_nothing_typed_into_a_search_is_an_error(kitchen, words):
    kitchen.search(words)


def test_two_thousand_studies_are_searched_in_fifty_milliseconds(tmp_path):
    rng = random.Random(7)
    pantry = [f"{a}{b}" for a in ("oat", "rye", "plum", "dill", "malt", "beet", "leek", "chard") for b in range(120)]
    with Notebook.open(tmp_path / "n.sqlite") as notebook:
        rows = []
        for n in range(2000):
            text = "\n".join(f"- {rng.randint(1, 900)} g {rng.choice(pantry)} flour" for _ in range(60))
            about = {"title": f"Study {n}", "step": "", "created": "2026", "changed": "2026", "at": "2026", "note": ""}
            rows.append(about | {"id": f"study-{n}", "study_id": f"study-{n}", "revision": 1, "number": 1, "text": text})
        with notebook._store.writing() as connection:  # in bulk, since 2,000 durable calls take half a minute
            for table in (tables.study, tables.revision):
                connection.execute(table.insert(), [{c.name: row.get(c.name) for c in table.c} for row in rows])
            finding.index_all(connection)
        times = []
        for word in ["flour", "oat1", "rye7 flour", "study 1999", "g", "nothing"]:
            start = time.perf_counter()
            notebook.search(word)
            times.append(time.perf_counter() - start)
    assert sorted(times)[len(times) // 2] < 0.05, times
