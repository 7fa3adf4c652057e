import pytest

from proofpan.notebook import Conflict, Notebook, NotebookError, NotFound

CRACKERS = "title: Seeded oat crackers\nfactors: [fat, oven]\n"


@pytest.mark.parametrize(
    "title, study_id",
    [
        ("Seeded oat crackers", "seeded-oat-crackers"),
        ("Crème brûlée, twice!", "creme-brulee-twice"),
        ("Larkspur Lane's dip", "larkspur-lanes-dip"),
        ("../../etc", "etc"),
        ("炒飯", "study"),
        ("", "untitled"),
        ("a" * 200, "a" * 60),
    ],
)
def test_an_id_is_readable_and_safe_in_an_address(notebook, title, study_id):
    assert notebook.create(title, "text").id == study_id


def test_a_second_study_of_the_same_title_gets_a_number(notebook):
    made = [notebook.create("Seeded oat crackers", CRACKERS).id for _ in range(3)]
    assert made == ["seeded-oat-crackers", "seeded-oat-crackers-2", "seeded-oat-crackers-3"]


def test_a_deleted_studys_id_is_not_given_again(notebook):
    notebook.delete(notebook.create("Dip", "a").id)
    assert notebook.create("Dip", "b").id == "dip-2"


def test_a_document_comes_back_to_the_character(notebook):
    text = "title: crème\r\n\ttab, \U0001f951, trailing spaces   \n\n# comment\nno newline at the end"
    study = notebook.create("Dip", text, note="first")
    kept = notebook.document(study.id)
    assert (kept.text, kept.revision, kept.note, kept.at) == (text, 1, "first", "2026-05-03T09:14:00.000Z")


def test_each_save_is_a_revision_and_all_can_be_read(notebook, clock):
    study = notebook.create("Dip", "one", note="started")
    clock.move(minutes=1)
    notebook.save(study.id, "two", note="added mint")
    clock.move(minutes=1)
    after = notebook.save(study.id, "three", note="no mint", title="Cucumber dip", step="rounds")
    assert [notebook.document(study.id, n).text for n in (1, 2, 3)] == ["one", "two", "three"]
    assert [(r.revision, r.note, r.title) for r in notebook.history(study.id)] == [
        (1, "started", "Dip"),
        (2, "added mint", "Dip"),
        (3, "no mint", "Cucumber dip"),
    ]
    assert (after.title, after.step, after.revision) == ("Cucumber dip", "rounds", 3)
    assert (after.created, after.changed) == ("2026-05-03T09:14:00.000Z", "2026-05-03T09:16:00.000Z")
    assert notebook.study(study.id) == after


def test_the_same_text_makes_no_revision_but_its_step_is_noted(notebook):
    study = notebook.create("Dip", "one", step="brief")
    assert notebook.save(study.id, "one", note="again").revision == 1
    assert notebook.save(study.id, "one", note="again", step="rounds").step == "rounds"
    assert len(notebook.history(study.id)) == 1


def test_a_save_upon_an_older_revision_is_a_conflict_that_names_both(notebook):
    study = notebook.create("Dip", "one")
    notebook.save(study.id, "tablet", note="on the tablet", base_revision=1)
    with pytest.raises(Conflict, match=r"upon revision 1, the newest is 2\.$"):
        notebook.save(study.id, "laptop", note="on the laptop", base_revision=1)
    assert notebook.document(study.id).text == "tablet"
    assert notebook.save(study.id, "both", note="merged", base_revision=2).revision == 3


def test_a_save_sent_twice_is_kept_once(notebook):
    study = notebook.create("Dip", "one")
    for _ in range(2):
        assert notebook.save(study.id, "two", note="mint", base_revision=1).revision == 2


def test_undo_names_what_it_undoes_and_redo_brings_it_back(notebook):
    study = notebook.create("Dip", "one")
    notebook.save(study.id, "two", note="added mint")
    notebook.save(study.id, "three", note="less garlic", title="Dip 3")
    undone = [notebook.undo(study.id), notebook.undo(study.id)]
    assert [(u.what, u.change, u.entry.revision, u.entry.title) for u in undone] == [
        ("less garlic", 3, 4, "Dip"),
        ("added mint", 2, 5, "Dip"),
    ]
    assert notebook.document(study.id).text == "one"
    with pytest.raises(Conflict, match="nothing to undo"):
        notebook.undo(study.id)
    assert [notebook.redo(study.id).what for _ in range(2)] == ["added mint", "less garlic"]
    assert (notebook.document(study.id).text, notebook.study(study.id).title) == ("three", "Dip 3")
    with pytest.raises(Conflict, match="nothing to bring back"):
        notebook.redo(study.id)
    assert [r.same_as for r in notebook.history(study.id)] == [None, None, None, 2, 1, 2, 3]


def test_after_an_undo_and_a_new_change_undo_goes_where_the_cook_was(notebook):
    study = notebook.create("Dip", "one")
    notebook.save(study.id, "two", note="mint")
    notebook.undo(study.id)
    notebook.save(study.id, "dill", note="dill")
    with pytest.raises(Conflict, match="nothing to bring back"):
        notebook.redo(study.id)
    assert notebook.undo(study.id).what == "dill"
    assert notebook.document(study.id).text == "one"
    assert notebook.redo(study.id).what == "dill"


def test_an_undo_upon_an_older_revision_is_a_conflict(notebook):
    study = notebook.create("Dip", "one")
    notebook.save(study.id, "two", note="mint")
    notebook.save(study.id, "three", note="dill")
    with pytest.raises(Conflict, match="revision 2, the newest is 3"):
        notebook.undo(study.id, base_revision=2)


def test_studies_are_listed_by_their_latest_change_or_event(notebook, clock):
    for title in ("A", "B", "C"):
        notebook.create(title, "text")
        clock.move(minutes=1)
    notebook.save("a", "more", note="x")
    clock.move(minutes=1)
    notebook.append("b", "ballot", {"score": 7}, key="1")
    assert [(s.id, s.changed[11:16]) for s in notebook.studies()] == [("b", "09:18"), ("a", "09:17"), ("c", "09:16")]


def test_deleting_is_recoverable_and_loses_nothing(notebook):
    study = notebook.create("Dip", "one")
    notebook.append(study.id, "ballot", {"score": 7}, key="1")
    gone = notebook.delete(study.id)
    assert gone.deleted == "2026-05-03T09:14:00.000Z"
    assert notebook.studies() == () and notebook.studies(with_deleted=True) == (gone,)
    assert notebook.search("dip") == ()
    with pytest.raises(NotebookError, match="is deleted; restore it"):
        notebook.save(study.id, "two", note="x")
    with pytest.raises(NotebookError, match="is deleted; restore it"):
        notebook.append(study.id, "ballot", {}, key="2")
    assert notebook.delete(study.id) == gone
    assert notebook.restore(study.id).deleted is None
    assert notebook.document(study.id).text == "one" and len(notebook.events(study.id)) == 1


@pytest.mark.parametrize(
    "call",
    [
        lambda n: n.document("soup"),
        lambda n: n.document("soup", 1),
        lambda n: n.save("soup", "x", note=""),
        lambda n: n.history("soup"),
        lambda n: n.undo("soup"),
        lambda n: n.delete("soup"),
        lambda n: n.append("soup", "ballot", {}, key="1"),
        lambda n: n.events("soup"),
        lambda n: n.open_tasting("soup", 1, ["Ada"]),
        lambda n: n.keep_person("soup", "Ada", {}),
        lambda n: n.people("soup"),
    ],
)
def test_a_study_that_is_not_there_is_said_by_name(notebook, call):
    with pytest.raises(NotFound, match='no study "soup"'):
        call(notebook)


def test_a_revision_that_is_not_there_is_said_with_the_newest(notebook):
    notebook.create("Dip", "one")
    with pytest.raises(NotFound, match="no revision 7; its newest is 1"):
        notebook.document("dip", 7)


@pytest.mark.parametrize("bad, why", [("a\0b", "NUL"), ("\ud83d", "half a character"), (7, "must be text, not int")])
def test_text_that_no_database_holds_is_refused(notebook, bad, why):
    with pytest.raises(NotebookError, match=why):
        notebook.create("Dip", bad)
    assert notebook.studies() == ()


def test_a_time_without_a_zone_is_refused(tmp_path):
    from datetime import datetime

    with (
        Notebook.open(tmp_path / "n.sqlite", clock=lambda: datetime(2026, 5, 3)) as notebook,
        pytest.raises(NotebookError, match="needs a zone"),
    ):
        notebook.create("Dip", "one")
