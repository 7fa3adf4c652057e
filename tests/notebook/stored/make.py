"""How `0001.sql` was made: a notebook as the first schema had it, with rows in every table.

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


def main(version: str) -> None:
    """Print a notebook of a schema version as SQL."""
    with tempfile.TemporaryDirectory() as room:
        file = Path(room) / "notebook.sqlite"
        schema.prepare(find_place(file), lambda place, _: place.file, target=version)
        connection = sqlite3.connect(file)
        connection.executescript(ROWS)
        print(f"PRAGMA application_id = {schema.APPLICATION_ID};")
        print("\n".join(connection.iterdump()))
        connection.close()


if __name__ == "__main__":
    main(sys.argv[1])
