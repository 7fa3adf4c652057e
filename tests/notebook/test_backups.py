import hashlib
import json
import sqlite3
import zipfile
from contextlib import closing
from pathlib import Path

import pytest

from proofpan.notebook import NoRoom, Notebook, NotebookError


def fill(notebook):
    """Something in every table."""
    notebook.create("Seeded oat crackers", "title: one\n", note="started")
    notebook.save("seeded-oat-crackers", "title: two\r\nnote: crème", note="seeds in")
    notebook.create("Dip", "{}")
    notebook.delete("dip")
    notebook.append("seeded-oat-crackers", "ballot", {"score": 7.5}, key="1")
    notebook.append("seeded-oat-crackers", "words", {"words": "salty"}, key="2", person="Ada")
    notebook.keep_file(b"a tray", name="tray.jpg", media_type="image/jpeg")
    notebook.keep_person("seeded-oat-crackers", "Ada", {"contact": "ada@larkspur.example"})
    return notebook.open_tasting("seeded-oat-crackers", 1, ["Ada", "Bo"])


def content(notebook):
    """All that can be asked of a notebook."""
    studies = notebook.studies(with_deleted=True)
    return (
        studies,
        [notebook.history(s.id) for s in studies],
        [notebook.document(s.id, r) for s in studies for r in range(1, s.revision + 1)],
        [notebook.events(s.id) for s in studies],
        [notebook.people(s.id) for s in studies],
        [notebook.tastings(s.id) for s in studies],
        [(file, notebook.read_file(file.digest)) for file in notebook.files()],
        notebook.search("creme"),
    )


def test_a_backup_restores_everything(notebook, tmp_path, clock):
    tokens = fill(notebook)
    before = content(notebook)
    saved = notebook.backup(tmp_path / "saved.zip")
    notebook.save("seeded-oat-crackers", "ruined", note="oh")
    notebook.create("Another", "x")
    notebook.remove_person("seeded-oat-crackers", "Ada")
    path = notebook.file_path(notebook.files()[0].digest)
    path.unlink()
    ruined = notebook.studies()
    safety = notebook.restore_from(saved)
    assert content(notebook) == before
    assert notebook.find_token(tokens["Ada"]).taster == "Ada"
    assert notebook.append("seeded-oat-crackers", "ballot", {}, key="new").id > 2
    notebook.restore_from(safety)
    assert notebook.studies() == ruined


def test_a_backup_goes_into_a_folder_under_a_name_with_its_time(notebook, tmp_path):
    fill(notebook)
    folder = tmp_path / "backups"
    folder.mkdir()
    assert notebook.backup(folder).name == "proofpan-notebook-2026-05-03T09-14-00Z.zip"
    assert notebook.backup(folder).name == "proofpan-notebook-2026-05-03T09-14-00Z-2.zip"
    assert len(list(folder.iterdir())) == 2


def test_a_backup_never_overwrites(notebook, tmp_path):
    target = tmp_path / "precious.zip"
    target.write_text("mine")
    with pytest.raises(NotebookError, match=r"precious\.zip is there already"):
        notebook.backup(target)
    assert target.read_text() == "mine"


def test_a_backup_without_a_lost_original_is_still_made(notebook, tmp_path):
    fill(notebook)
    notebook.file_path(notebook.files()[0].digest).unlink()
    notebook.restore_from(notebook.backup(tmp_path / "saved.zip"))
    assert len(notebook.studies(with_deleted=True)) == 2


@pytest.mark.postgres
def test_a_notebook_moves_between_a_file_and_a_server(new_database, tmp_path, clock, monkeypatch):
    with Notebook.open(tmp_path / "a" / "notebook.sqlite", clock=clock) as alone:
        fill(alone)
        before = content(alone)
        alone.backup(tmp_path / "alone.zip")
    monkeypatch.setenv("PROOFPAN_MEDIA", str(tmp_path / "b" / "media"))
    with Notebook.open(new_database, clock=clock) as kitchens:
        kitchens.restore_from(tmp_path / "alone.zip")
        assert content(kitchens)[:-1] == before[:-1]  # a server's snippet doesn't mark a word with an accent
        kitchens.backup(tmp_path / "kitchens.zip")
    monkeypatch.setenv("PROOFPAN_MEDIA", str(tmp_path / "c" / "media"))
    with Notebook.open(tmp_path / "c" / "notebook.sqlite", clock=clock) as again:
        again.restore_from(tmp_path / "kitchens.zip")
        assert content(again) == before


def test_an_older_backup_is_brought_up_to_date(file, tmp_path, clock):
    old = tmp_path / "old.sqlite"
    with closing(sqlite3.connect(old)) as connection:
        connection.executescript((Path(__file__).parent / "stored" / "0001.sql").read_text(encoding="utf-8"))
    with zipfile.ZipFile(tmp_path / "old.zip", "w") as out:
        out.write(old, "notebook.sqlite")
        out.writestr("about.json", json.dumps({"proofpan_backup": 1, "schema": "0001"}))
    with Notebook.open(file, clock=clock) as notebook:
        notebook.restore_from(tmp_path / "old.zip")
        assert [hit.study for hit in notebook.search("seeded")] == ["seeded-oat-crackers"]


def zip_of(path, members):
    with zipfile.ZipFile(path, "w") as out:
        for name, data in members.items():
            out.writestr(name, data)


ABOUT = json.dumps({"proofpan_backup": 1, "schema": "0002"})


@pytest.mark.parametrize(
    "members, why",
    [
        ({"holiday.jpg": "x"}, "isn't a backup of a notebook"),
        ({"about.json": ABOUT}, "isn't a backup of a notebook"),
        ({"about.json": "[", "rows.jsonl": ""}, "isn't a backup of a notebook"),
        ({"about.json": "[]", "rows.jsonl": ""}, "isn't a backup of a notebook"),
        ({"about.json": json.dumps({"schema": "0999"}), "rows.jsonl": ""}, "made by a newer proofpan"),
        ({"about.json": ABOUT, "notebook.sqlite": "not a database"}, "isn't a backup of a notebook"),
        ({"about.json": ABOUT, "rows.jsonl": "{"}, "isn't a backup of a notebook"),
        ({"about.json": ABOUT, "rows.jsonl": '{"table": "soup", "row": {}}'}, "isn't a backup of a notebook"),
        ({"about.json": ABOUT, "rows.jsonl": '{"table": "study", "row": {"soup": 1}}'}, "isn't a backup of a notebook"),
        ({"about.json": ABOUT, "rows.jsonl": "", "media/../../evil": "x"}, "isn't the digest of a file"),
        ({"about.json": ABOUT, "rows.jsonl": "", f"media/{'0' * 64}": "x"}, "is damaged"),
    ],
)
def test_what_is_not_a_backup_changes_nothing(notebook, tmp_path, members, why):
    fill(notebook)
    before = content(notebook)
    zip_of(tmp_path / "bad.zip", members)
    with pytest.raises(NotebookError, match=why):
        notebook.restore_from(tmp_path / "bad.zip")
    assert content(notebook) == before
    assert not list(tmp_path.rglob("evil"))


def test_a_damaged_or_missing_backup_changes_nothing(notebook, tmp_path):
    fill(notebook)
    before = content(notebook)
    saved = notebook.backup(tmp_path / "saved.zip")
    data = bytearray(saved.read_bytes())
    data[len(data) // 3] ^= 0xFF
    (tmp_path / "flipped.zip").write_bytes(data)
    (tmp_path / "cut.zip").write_bytes(saved.read_bytes()[:-100])
    (tmp_path / "text.zip").write_text("hello")
    for name in ("flipped.zip", "cut.zip", "text.zip"):
        with pytest.raises(NotebookError, match="isn't a backup of a notebook, or it is damaged"):
            notebook.restore_from(tmp_path / name)
    with pytest.raises(NotebookError, match=r"gone\.zip can't be used"):
        notebook.restore_from(tmp_path / "gone.zip")
    assert content(notebook) == before


def files_under(folder):
    return {str(p.relative_to(folder)): p.read_bytes() for p in folder.rglob("*") if p.is_file()}


def test_an_export_holds_every_study_as_open_files(notebook, tmp_path):
    fill(notebook)
    out = notebook.export_all(tmp_path / "out")
    study = out / "studies" / "seeded-oat-crackers"
    assert (study / "document.yaml").read_bytes() == "title: two\r\nnote: crème".encode()
    assert (study / "revisions" / "0001.yaml").read_text() == "title: one\n"
    assert (out / "studies" / "dip" / "document.json").read_text() == "{}"
    assert [json.loads(line)["payload"] for line in (study / "events.jsonl").read_text().splitlines()] == [{"score": 7.5}]
    assert (out / "files" / hashlib.sha256(b"a tray").hexdigest()).read_bytes() == b"a tray"


def test_an_export_holds_nothing_private_unless_asked(notebook, tmp_path):
    tokens = fill(notebook)
    plain = b"".join(files_under(notebook.export_all(tmp_path / "plain")).values())
    asked = b"".join(files_under(notebook.export_all(tmp_path / "asked", with_people=True)).values())
    for secret in (b"ada@larkspur.example", b"salty"):
        assert secret not in plain and secret in asked
    digest = hashlib.sha256(tokens["Ada"].encode()).hexdigest().encode()
    assert tokens["Ada"].encode() not in asked and digest not in asked


def test_the_same_notebook_exports_the_same_bytes(notebook, tmp_path, clock):
    fill(notebook)
    once = files_under(notebook.export_all(tmp_path / "once"))
    clock.move(days=3)
    assert files_under(notebook.export_all(tmp_path / "twice")) == once


def test_an_export_never_mixes_with_other_files(notebook, tmp_path):
    (tmp_path / "out").mkdir()
    (tmp_path / "out" / "mine.txt").write_text("mine")
    with pytest.raises(NotebookError, match="isn't empty"):
        notebook.export_all(tmp_path / "out")


def bomb(path, members):
    """A small file that says it holds very much."""
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as out:
        out.writestr("about.json", '{"proofpan_backup": 1, "schema": "0001"}')
        for name in members:
            with out.open(name, "w") as member:
                for _ in range(20):
                    member.write(bytes(1_000_000))
    return path


def test_a_backup_that_is_larger_than_the_disk_unpacked_is_refused_before_it_is_unpacked(notebook, tmp_path, monkeypatch):
    fill(notebook)
    before = content(notebook)
    path = bomb(tmp_path / "small.zip", ["notebook.sqlite", "media/" + "a" * 64])
    assert path.stat().st_size < 100_000
    monkeypatch.setattr("shutil.disk_usage", lambda _: type("Usage", (), {"free": 60_000_000}))
    monkeypatch.setattr(zipfile.ZipFile, "testzip", None)  # nothing of it is read
    with pytest.raises(NoRoom, match=r"small\.zip would need 0\.0 GB unpacked.*nothing was changed"):
        notebook.restore_from(path)
    assert content(notebook) == before


@pytest.mark.parametrize("name", ["media/../../evil", "media//etc/passwd", "media/" + "A" * 64, "media/..\\evil"])
def test_a_backup_whose_files_point_elsewhere_is_refused_and_nothing_is_written_there(notebook, tmp_path, name):
    fill(notebook)
    saved = notebook.backup(tmp_path / "saved.zip")
    with zipfile.ZipFile(saved, "a") as out:
        out.writestr(name, b"x")
    before, there = content(notebook), set(tmp_path.rglob("evil"))
    with pytest.raises(NotebookError):
        notebook.restore_from(saved)
    assert content(notebook) == before and set(tmp_path.rglob("evil")) == there


def test_a_backup_with_a_row_that_never_ends_is_refused(notebook, tmp_path, monkeypatch):
    fill(notebook)
    monkeypatch.setattr("proofpan.notebook.backups.LONGEST_ROW", 1000)
    path = tmp_path / "long.zip"
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as out:
        out.writestr("about.json", '{"proofpan_backup": 1, "schema": "0001"}')
        out.writestr("rows.jsonl", b" " * 5000)
    with pytest.raises(NotebookError, match="damaged"):
        notebook.restore_from(path)
