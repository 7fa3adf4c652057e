"""Older notebooks come up to date with every row; a migration that fails leaves the old one whole."""

import re
import shutil
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest
import sqlalchemy as sa

from proofpan.notebook import Notebook, NotebookError, schema
from proofpan.notebook.connection import make_engine
from proofpan.notebook.place import find_place
from proofpan.notebook.tables import metadata

STORED = Path(__file__).parent / "stored"
NEWEST = schema.known_versions()[-1]
OLDER = schema.known_versions()[:-1]
TABLES = [table.name for table in metadata.sorted_tables]


def stored_file(version, file):
    """A notebook file as an earlier schema had it."""
    with closing(sqlite3.connect(file)) as connection:
        connection.executescript((STORED / f"{version}.sql").read_text(encoding="utf-8"))
    return file


def stored_on_server(version, address):
    """The same notebook on a server: its tables by the migrations of then, its rows from the same file."""
    schema.prepare(find_place(address), lambda place, _: place.media, target=version)
    text = (STORED / f"{version}.sql").read_text(encoding="utf-8")
    rows = re.findall(r'^INSERT INTO "(?!sqlite_|proofpan_)[^;]*?\);$', text, re.MULTILINE | re.DOTALL)
    engine = make_engine(find_place(address), migrating=True)
    with engine.begin() as connection:
        # the file has its tables by name, so children may come first; SQLite's replace() and char() are rewritten
        ordered = sorted(rows, key=lambda row: TABLES.index(re.match(r'INSERT INTO "(\w+)"', row)[1]))
        for row in ordered:
            connection.exec_driver_sql(row.replace("char(10)", "chr(10)").replace("%", "%%"))
    engine.dispose()
    return address


def all_rows(file):
    """Every row of every table of a file, as sets."""
    with closing(sqlite3.connect(file)) as connection:
        return {name: set(connection.execute(f"SELECT * FROM {name}")) for name in TABLES}


def comparable(tables):
    """The rows without what a migration may change: a no-list in a text, the facts of people."""
    at = [c.name for c in metadata.tables["revision"].columns].index("text")
    texts = {(*row[:at], None if "tasters" in row[at] else row[at], *row[at + 1 :]) for row in tables["revision"]}
    return {**tables, "revision": texts, "people": {row[:2] for row in tables["people"]}}


def rows_through(place):
    engine = make_engine(place, migrating=True)
    with engine.connect() as connection:
        found = {t.name: {tuple(row) for row in connection.execute(sa.select(t))} for t in metadata.sorted_tables}
    engine.dispose()
    return found


def version_in(file):
    with closing(sqlite3.connect(file)) as connection:
        return connection.execute("SELECT version_num FROM proofpan_version").fetchone()[0]


def test_every_earlier_schema_has_a_stored_notebook_with_rows_in_every_table(file):
    assert OLDER
    for version in OLDER:
        assert all(all_rows(stored_file(version, file.with_name(version))).values())


@pytest.mark.parametrize("version", OLDER)
def test_an_older_file_keeps_every_row_and_a_copy_stands_beside_it(file, version, clock):
    before = all_rows(stored_file(version, file))
    with Notebook.open(file, clock=clock) as notebook:
        assert notebook.document("seeded-oat-crackers").text == "title: Seeded oat crackers\nnote: crème"
        assert [found.study for found in notebook.search("creme seeds")] == ["seeded-oat-crackers"]
        notebook.restore("cucumber-dip")
        assert [found.study for found in notebook.search("mint")] == ["cucumber-dip"]
        notebook.delete("cucumber-dip")
        assert notebook.undo("seeded-oat-crackers").what == "seeds in"
        added = notebook.append("seeded-oat-crackers", "ballot", {}, key="next")
        assert added.id == 5
    after = all_rows(file)
    for name, rows in comparable(before).items():
        assert rows <= comparable(after)[name] or name == "study"
    copy = file.with_name(f"notebook-before-migration-from-{version}-2026-05-03T09-14-00Z.sqlite")
    assert all_rows(copy) == before and version_in(copy) == version and version_in(file) == NEWEST


def test_rows_still_in_the_log_are_in_the_copy(file, clock):
    stored_file("0001", file)
    with closing(sqlite3.connect(file)) as held:
        held.execute("PRAGMA journal_mode = WAL")
        held.execute("INSERT INTO event SELECT id + 100, study_id, kind, key || 'x', payload, person, at FROM event")
        held.commit()
        assert file.with_name("notebook.sqlite-wal").stat().st_size > 0
        Notebook.open(file, clock=clock).close()
    copy = next(file.parent.glob("notebook-before-*"))
    assert len(all_rows(copy)["event"]) == 6


NO_LISTS = {"Ada": ["sesame", "egg"], "Bo": ["tahini", "mustard", "milk"], "Zoë": ["celery"]}


def _no_lists_stand_apart(notebook):
    """The newest list that any text said, unless one was kept apart already; contacts stay; a deleted study's, and one in JSON, too."""
    kept = {p.name: p.facts for p in notebook.people("dip-for-four")}
    assert {name: facts["no"] for name, facts in kept.items()} == NO_LISTS
    assert kept["Ada"]["contact"] == "ada@larkspur.example" and kept["Bo"]["contact"] == "bo@larkspur.example"
    texts = [notebook.document("dip-for-four", n).text for n in (1, 2, 3)]
    for word in ("sesame", "egg", "tahini", "mustard", "celery"):
        assert not any(word in text for text in texts)
        assert notebook.search(word) == ()
    assert texts[0] == "# ours\ntitle: Dip for four\ntasters: [{name: Ada}, {name: Bo}, Kim, {name: Zoë}]   # four of us\n"
    assert 'question: "Is there no: in this text?"' in texts[2] and notebook.history("dip-for-four")[2].note == "no salt: a note"
    assert {p.name: p.facts for p in notebook.people("in-json")} == {"Ada": {"no": ["lupin"]}}
    assert notebook.document("in-json", 2).text == "title: [ no: never closed" and "lupin" not in notebook.document("in-json", 1).text
    notebook.restore("old-brittle")
    assert {p.name: p.facts for p in notebook.people("old-brittle")} == {"Ada": {"no": ["almonds"]}, "Bo": {"no": []}}
    assert notebook.document("old-brittle").text == "title: Old brittle\ntasters:\n  - name: Ada\n  - {name: Bo}\nnotes: kept\n"
    assert [f.study for f in notebook.search("almonds")] == ["old-brittle"]        # an ingredient that it is found by, not the list


def test_no_lists_in_the_texts_of_an_older_notebook_come_to_stand_apart(file, clock):
    stored_file("0002", file)
    with Notebook.open(file, clock=clock) as notebook:
        _no_lists_stand_apart(notebook)


@pytest.mark.postgres
def test_no_lists_in_the_texts_of_an_older_server_come_to_stand_apart(empty_database, clock, tmp_path, monkeypatch):
    monkeypatch.setenv("PROOFPAN_MEDIA", str(tmp_path / "media"))
    stored_on_server("0002", empty_database)
    with Notebook.open(empty_database, clock=clock) as notebook:
        _no_lists_stand_apart(notebook)


def test_a_study_of_an_older_notebook_still_withholds_plates(file, clock):
    from proofpan.notebook.shelf import read_study

    stored_file("0002", file)
    with closing(sqlite3.connect(file)) as connection:
        text = "title: Dip\ntasters: [{name: Ada, no: [sesame]}]\nattributes: [{name: snap}]\nfactors: [{name: fat, options: [{name: lard}, {name: oil}]}]\n"
        connection.execute("UPDATE revision SET text = ? WHERE study_id = 'old-brittle'", (text,))
        connection.commit()
    with Notebook.open(file, clock=clock) as notebook:
        notebook.restore("old-brittle")
        assert read_study(notebook, "old-brittle").brief.tasters[0].no == ("sesame",)


@pytest.mark.postgres
@pytest.mark.parametrize("version", OLDER)
def test_an_older_server_keeps_every_row_and_a_copy_is_written(empty_database, version, clock, tmp_path, monkeypatch):
    monkeypatch.setenv("PROOFPAN_MEDIA", str(tmp_path / "media"))
    place = find_place(stored_on_server(version, empty_database))
    before = rows_through(place)
    with Notebook.open(empty_database, clock=clock) as notebook:
        for name, rows in comparable(before).items():
            assert rows <= comparable(rows_through(place))[name]
        assert [found.study for found in notebook.search("creme seeds")] == ["seeded-oat-crackers"]
    copies = list(tmp_path.glob("notebook-before-migration-from-*.zip"))
    assert len(copies) == 1
    with Notebook.open(tmp_path / "from-copy.sqlite", clock=clock) as notebook:
        notebook.restore_from(copies[0])
        for name, rows in comparable(before).items():
            assert rows <= comparable(rows_through(notebook.place))[name]


def test_the_tables_in_the_code_are_those_that_the_migrations_make(where):
    from alembic.autogenerate import compare_metadata
    from alembic.migration import MigrationContext

    Notebook.open(where).close()
    engine = make_engine(find_place(where), migrating=True)
    with engine.connect() as connection:
        options = {
            "include_name": lambda name, kind, _: kind != "table" or not name.startswith("study_words"),
            "version_table": "proofpan_version",
            "compare_type": True,
        }
        assert compare_metadata(MigrationContext.configure(connection, opts=options), metadata) == []
    engine.dispose()


def test_the_versions_by_file_name_are_those_in_the_scripts():
    from alembic.config import Config
    from alembic.script import ScriptDirectory

    config = Config()
    config.set_main_option("script_location", str(schema.MIGRATIONS))
    scripts = ScriptDirectory.from_config(config)
    assert tuple(s.revision for s in scripts.walk_revisions())[::-1] == schema.known_versions()
    assert scripts.get_current_head() == NEWEST


REBUILD = """
    with op.batch_alter_table("study") as table:
        table.add_column(sa.Column("colour", sa.Text))
    with op.batch_alter_table("tasting") as table:
        table.alter_column("opened", new_column_name="opened_at")
"""
BREAKS = {
    "a statement that fails": REBUILD + '    op.execute("INSERT INTO no_such_table VALUES (1)")\n',
    "a lost parent": REBUILD + "    op.execute(\"DELETE FROM study WHERE id = 'cucumber-dip'\")\n",
}


@pytest.fixture
def next_migration(tmp_path, monkeypatch):
    """Puts a further migration beside the real ones."""
    folder = tmp_path / "migrations"
    shutil.copytree(schema.MIGRATIONS, folder, ignore=shutil.ignore_patterns("__pycache__"))
    number = f"{int(NEWEST) + 1:04d}"

    def put(body):
        head = f'import sqlalchemy as sa\nfrom alembic import op\nrevision = "{number}"\ndown_revision = "{NEWEST}"\n'
        (folder / "versions" / f"v{number}_next.py").write_text(f"{head}\ndef upgrade():\n{body}", encoding="utf-8")
        monkeypatch.setattr(schema, "MIGRATIONS", folder)
        return number

    return put


def test_rebuilding_a_table_keeps_its_children(file, next_migration):
    before = all_rows(stored_file("0001", file))
    number = next_migration(REBUILD)
    Notebook.open(file).close()
    after = all_rows(file)
    assert version_in(file) == number
    assert {name: rows for name, rows in after.items() if name != "study"} == {
        name: rows for name, rows in before.items() if name != "study"
    }
    assert {row[:-1] for row in after["study"]} == before["study"]


@pytest.mark.parametrize("why", BREAKS)
def test_a_failing_migration_leaves_the_old_file_whole(file, next_migration, why):
    before = all_rows(stored_file("0001", file))
    next_migration(BREAKS[why])
    with pytest.raises(NotebookError, match=r"couldn't be brought up to date .* the notebook is as it was, and a copy"):
        Notebook.open(file)
    assert all_rows(file) == before and version_in(file) == "0001"


@pytest.mark.postgres
@pytest.mark.parametrize("why", BREAKS)
def test_a_failing_migration_leaves_the_old_server_whole(empty_database, next_migration, why, tmp_path, monkeypatch):
    monkeypatch.setenv("PROOFPAN_MEDIA", str(tmp_path / "media"))
    place = find_place(stored_on_server("0001", empty_database))
    before = rows_through(place)
    next_migration(BREAKS[why])
    with pytest.raises(NotebookError, match="couldn't be brought up to date"):
        Notebook.open(empty_database)
    assert rows_through(place) == before


def test_a_notebook_from_the_future_is_refused_by_name(file):
    Notebook.open(file).close()
    with closing(sqlite3.connect(file)) as connection:
        connection.execute("UPDATE proofpan_version SET version_num = '0999'")
        connection.commit()
    with pytest.raises(NotebookError, match=rf"newer proofpan \(its schema is 0999, this one knows up to {NEWEST}\)"):
        Notebook.open(file)


@pytest.mark.postgres
def test_two_workers_that_open_an_old_server_at_once_migrate_it_once(empty_database, tmp_path, monkeypatch):
    import threading

    monkeypatch.setenv("PROOFPAN_MEDIA", str(tmp_path / "media"))
    stored_on_server("0001", empty_database)
    _open_at_once(empty_database, threading)


def test_two_programs_that_open_an_old_file_at_once_migrate_it_once(file):
    import threading

    stored_file("0001", file)
    _open_at_once(file, threading)


def _open_at_once(where, threading):
    failed = []

    def start():
        try:
            Notebook.open(where).close()
        except NotebookError as error:
            failed.append(error)

    threads = [threading.Thread(target=start) for _ in range(3)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert failed == []
    with Notebook.open(where) as notebook:
        assert len(notebook.events("seeded-oat-crackers")) == 2
