"""What tasters don't eat leaves the texts of older notebooks and stands beside them, where it is kept apart and can be removed.

Nobody's list is lost: what is kept apart already stays; else the newest text that says a list counts, also where a later one is silent
(a list too many only holds a plate back, a list too few can hurt somebody).
"""

import json
import re
import unicodedata

import sqlalchemy as sa
from alembic import op
from sqlalchemy.engine import Connection

revision = "0003"
down_revision = "0002"

INDEXED_CHARACTERS = 250_000
HOLDS_ONE = re.compile(r"""\bno["']?\s*:""")
CURRENT = """
    SELECT s.id, r.title, coalesce(r.words, r.text) AS words
    FROM study s JOIN revision r ON r.study_id = s.id AND r.number = s.revision
"""


def upgrade() -> None:
    """Take the lists out of every revision's text, keep them with the people, and index the texts anew."""
    connection = op.get_bind()
    asked = sa.text("SELECT study_id, number, text, at FROM revision WHERE text LIKE '%no%' ORDER BY study_id, number DESC")
    lists: dict[tuple[str, str], tuple[list[str], str]] = {}
    changed = False
    for study_id, number, text, at in connection.execute(asked).all():
        bare, found = _taken_out(text)
        if not found:
            continue
        changed = True
        here = {"bare": bare, "study": study_id, "number": number}
        connection.execute(sa.text("UPDATE revision SET text = :bare WHERE study_id = :study AND number = :number"), here)
        for name, no in found.items():
            lists.setdefault((study_id, name), (no, at))
    for (study_id, name), (no, at) in lists.items():
        _keep(connection, study_id, name, no, at)
    if changed:
        _index_anew(connection)


def _taken_out(text: str) -> tuple[str, dict[str, list[str]]]:
    """(the text without its tasters' lists, {taster: list}); a text that holds none, or can't be read, as it is."""
    if not HOLDS_ONE.search(text):
        return text, {}
    from ruamel.yaml import YAML, YAMLError
    from ruamel.yaml.nodes import MappingNode, SequenceNode

    try:
        root = YAML(typ="rt").compose(text)
    except (YAMLError, ValueError):
        return text, {}
    found: dict[str, list[str]] = {}
    cuts = []
    tasters = next((v for k, v in root.value if k.value == "tasters"), None) if isinstance(root, MappingNode) else None
    for taster in tasters.value if isinstance(tasters, SequenceNode) else []:
        pairs = taster.value if isinstance(taster, MappingNode) else []
        name = next((str(v.value) for k, v in pairs if k.value == "name"), "")
        for i, (key, value) in enumerate(pairs):
            if key.value == "no" and name:
                found[name] = [str(v.value) for v in value.value] if isinstance(value, SequenceNode) else [str(value.value)] if value.value else []
                start = len(text[: pairs[i - 1][1].end_mark.index].rstrip()) if i else key.start_mark.index
                end = max(start, len(text[: value.end_mark.index].rstrip())) if i else pairs[1][0].start_mark.index
                cuts.append((start, end))
    for start, end in reversed(cuts):
        text = text[:start] + text[end:]
    return text, found


def _keep(connection: Connection, study_id: str, name: str, no: list[str], at: str) -> None:
    """Put a list with what is known of a person, unless one is kept there already."""
    who = {"study": study_id, "name": name}
    there = connection.execute(sa.text("SELECT facts FROM people WHERE study_id = :study AND name = :name"), who).scalar()
    facts = json.loads(there) if there else {}
    if "no" in facts:
        return
    row = {**who, "facts": json.dumps({**facts, "no": no}, ensure_ascii=False, sort_keys=True, separators=(",", ":")), "at": at}
    if there is None:
        connection.execute(sa.text("INSERT INTO people (study_id, name, facts, changed) VALUES (:study, :name, :facts, :at)"), row)
    else:
        connection.execute(sa.text("UPDATE people SET facts = :facts WHERE study_id = :study AND name = :name"), row)


def _index_anew(connection: Connection) -> None:
    """A search read the texts with the lists in them."""
    connection.exec_driver_sql("DELETE FROM study_words")
    if connection.dialect.name == "sqlite":
        connection.exec_driver_sql(f"INSERT INTO study_words (study_id, title, words) {CURRENT}")
        return
    adding = "INSERT INTO study_words (study_id, title, words, folded_title, folded_words) VALUES (:id, :title, :words, :folded_title, :folded_words)"
    for study_id, title, words in connection.exec_driver_sql(CURRENT).all():
        row = {"id": study_id, "title": title, "words": words[:INDEXED_CHARACTERS]}
        row |= {"folded_title": _fold(title), "folded_words": _fold(row["words"])}
        connection.execute(sa.text(adding), row)


def _fold(text: str) -> str:
    return "".join(c for c in unicodedata.normalize("NFKD", text) if not unicodedata.combining(c))
