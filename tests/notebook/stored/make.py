"""How `0001.sql` and `0002.sql` were made: notebooks as those schemas had them, with rows in every table.

A stored notebook is never made again once its version has been used by a kitchen; the next schema gets a file of its own:

    python -m tests.notebook.stored.make 0001 > tests/notebook/stored/0001.sql
"""

# ruff: noqa: E501 - rows read best one a line
import sqlite3
import sys
import tempfile
from pathlib import Path

from proofpan.notebook import schema
from proofpan.notebook.place import find_place

ROWS = """
INSERT INTO study VALUES
  ('seeded-oat-crackers', 'Seeded oat crackers', 'rounds', '2026-05-03T09:14:00.000Z', '2026-05-04T10:00:00.000Z', NULL, 4),
  ('cucumber-dip', 'Cucumber dip', 'brief', '2026-05-03T09:15:00.000Z', '2026-05-03T09:15:00.000Z', '2026-05-05T08:00:00.000Z', 1);
INSERT INTO revision VALUES
  ('seeded-oat-crackers', 1, NULL, NULL, '2026-05-03T09:14:00.000Z', 'started', 'Oat crackers', 'brief', 'title: Oat crackers' || char(10), NULL),
  ('seeded-oat-crackers', 2, 1, NULL, '2026-05-03T09:20:00.000Z', 'seeds in', 'Seeded oat crackers', 'rounds', 'title: Seeded oat crackers' || char(10) || 'note: crème', NULL),
  ('seeded-oat-crackers', 3, NULL, 1, '2026-05-03T09:21:00.000Z', 'Undid: seeds in', 'Oat crackers', 'brief', 'title: Oat crackers' || char(10), NULL),
  ('seeded-oat-crackers', 4, NULL, 2, '2026-05-04T10:00:00.000Z', 'Redid: seeds in', 'Seeded oat crackers', 'rounds', 'title: Seeded oat crackers' || char(10) || 'note: crème', NULL),
  ('cucumber-dip', 1, NULL, NULL, '2026-05-03T09:15:00.000Z', '', 'Cucumber dip', 'brief', '{}', 'cucumber mint yoghurt');
INSERT INTO event VALUES
  (1, 'seeded-oat-crackers', 'ballot', 'ada-417-1', '{"score":7.5,"taster":"Ada"}', NULL, '2026-05-04T11:00:00.000Z'),
  (2, 'seeded-oat-crackers', 'words', 'ada-417-w', '{"words":"snaps, a bit salty 🥨"}', 'Ada', '2026-05-04T11:00:05.000Z'),
  (4, 'cucumber-dip', 'reading', 'w1', '{"mass_g":212}', NULL, '2026-05-03T09:30:00.000Z');
INSERT INTO media VALUES
  ('ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad', 'tray 1.jpg', 'image/jpeg', 3, '2026-05-04T11:10:00.000Z');
INSERT INTO people VALUES
  ('seeded-oat-crackers', 'Ada', '{"no":["sesame"]}', '2026-05-04T10:30:00.000Z');
INSERT INTO tasting VALUES
  ('seeded-oat-crackers', 1, '2026-05-04T10:50:00.000Z', '2026-05-04T12:00:00.000Z'),
  ('seeded-oat-crackers', 2, '2026-05-05T10:50:00.000Z', NULL);
INSERT INTO seat VALUES
  ('seeded-oat-crackers', 1, 'Ada', 1, 'e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855'),
  ('seeded-oat-crackers', 2, 'Ada', 1, '2c26b46b68ffc68ff99b453c1d30413413422d706483bfa0f98a5e886266e7ae'),
  ('seeded-oat-crackers', 2, 'Bo', 2, 'fcde2b2edba56bf408601fb721fe9b5c338d10ee429ea04fae5511b68fbf8fb9');
"""
# what kitchens wrote while no-lists stood in the study's own text: in two revisions, in a deleted study, in JSON, beside facts kept apart
WITH_NO_LISTS = """
INSERT INTO study VALUES
  ('dip-for-four', 'Dip for four', 'rounds', '2026-06-01T08:00:00.000Z', '2026-06-03T08:00:00.000Z', NULL, 3),
  ('old-brittle', 'Old brittle', 'brief', '2026-06-01T08:00:00.000Z', '2026-06-01T08:00:00.000Z', '2026-06-02T08:00:00.000Z', 1),
  ('in-json', 'In JSON', 'brief', '2026-06-01T08:00:00.000Z', '2026-06-01T08:00:00.000Z', NULL, 2);
INSERT INTO revision VALUES
  ('dip-for-four', 1, NULL, NULL, '2026-06-01T08:00:00.000Z', 'imported', 'Dip for four', 'brief', '# ours' || char(10) || 'title: Dip for four' || char(10) || 'tasters: [{name: Ada, no: [sesame]}, {name: Bo, no: [tahini, mustard]}, Kim, {name: Zoë, no: [celery]}]   # four of us' || char(10), NULL),
  ('dip-for-four', 2, 1, NULL, '2026-06-02T08:00:00.000Z', 'Ada asked', 'Dip for four', 'brief', '# ours' || char(10) || 'title: Dip for four' || char(10) || 'tasters: [{name: Ada, no: [sesame, egg]}, {name: Bo, no: [tahini, mustard]}, Kim, Zoë]' || char(10), NULL),
  ('dip-for-four', 3, 2, NULL, '2026-06-03T08:00:00.000Z', 'no salt: a note', 'Dip for four', 'rounds', 'title: Dip for four' || char(10) || 'question: "Is there no: in this text?"' || char(10) || 'tasters: [{name: Ada, no: [sesame, egg]}, {name: Bo, no: [tahini]}, Kim, Zoë]' || char(10), NULL),
  ('old-brittle', 1, NULL, NULL, '2026-06-01T08:00:00.000Z', '', 'Old brittle', 'brief', 'title: Old brittle' || char(10) || 'tasters:' || char(10) || '  - name: Ada' || char(10) || '    no:' || char(10) || '      - almonds' || char(10) || '  - {no: [], name: Bo}' || char(10) || 'notes: kept' || char(10), 'brittle sugar almonds'),
  ('in-json', 1, NULL, NULL, '2026-06-01T08:00:00.000Z', '', 'In JSON', 'brief', '{"title": "In JSON", "tasters": [{"name": "Ada", "no": ["lupin"]}]}', NULL),
  ('in-json', 2, 1, NULL, '2026-06-01T09:00:00.000Z', '', 'In JSON', 'brief', 'title: [ no: never closed', NULL);
INSERT INTO people VALUES
  ('dip-for-four', 'Bo', '{"contact":"bo@larkspur.example","no":["tahini","mustard","milk"]}', '2026-06-03T08:00:00.000Z'),
  ('dip-for-four', 'Ada', '{"contact":"ada@larkspur.example"}', '2026-06-01T08:00:00.000Z');
"""
INDEX = """CREATE VIRTUAL TABLE study_words USING fts5(study_id UNINDEXED, title, words, tokenize = 'porter unicode61 remove_diacritics 2');
INSERT INTO study_words (study_id, title, words)
  SELECT s.id, r.title, coalesce(r.words, r.text) FROM study s JOIN revision r ON r.study_id = s.id AND r.number = s.revision;"""


def main(version: str) -> None:
    """Print a notebook of a schema version as SQL."""
    with tempfile.TemporaryDirectory() as room:
        file = Path(room) / "notebook.sqlite"
        schema.prepare(find_place(file), lambda place, _: place.file, target=version)
        connection = sqlite3.connect(file)
        connection.executescript(ROWS + (WITH_NO_LISTS if version >= "0002" else ""))
        if version >= "0002":   # a dump of it can't be read back
            connection.executescript("DROP TABLE study_words")
        print(f"PRAGMA application_id = {schema.APPLICATION_ID};")
        print("\n".join(connection.iterdump()))
        print(INDEX if version >= "0002" else "", end="")
        connection.close()


if __name__ == "__main__":
    main(sys.argv[1])
