"""A search over all studies: every word must be there, or one that begins with it; titles weigh more."""

import re
import unicodedata

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from .entries import Found
from .errors import NotebookError
from .tables import revision, study

# a server's index takes at most 1 MB of distinct words from one text
INDEXED_CHARACTERS = 250_000

# the words around a hit are cut out for the studies shown, not for all that were found
IN_FILE = """
    SELECT h.id, h.title, h.step, h.changed, snippet(study_words, 2, '«', '»', '…', 12) AS snippet
    FROM (
        SELECT f.rowid AS at, s.id, s.title, s.step, s.changed, f.rank AS score
        FROM study_words AS f JOIN study s ON s.id = f.study_id
        WHERE f.study_words MATCH :query AND f.rank MATCH 'bm25(0.0, 10.0, 1.0)' AND s.deleted IS NULL
        ORDER BY score, s.changed DESC, s.id LIMIT :limit) h
    JOIN study_words ON study_words.rowid = h.at
    WHERE study_words MATCH :query ORDER BY h.score, h.changed DESC, h.id
"""
# ranked from the index alone before anything is joined: a plan that joins first reads each text's vector twice
ON_SERVER = """
    WITH asked AS (SELECT to_tsquery('proofpan', :query) AS query),
    ranked AS MATERIALIZED (SELECT w.study_id, ts_rank(w.vector, q.query) AS rank FROM study_words w, asked q WHERE w.vector @@ q.query),
    hits AS (
        SELECT s.id, s.title, s.step, s.changed, r.rank FROM ranked r JOIN study s ON s.id = r.study_id
        WHERE s.deleted IS NULL ORDER BY r.rank DESC, s.changed DESC, s.id LIMIT :limit)
    SELECT h.id, h.title, h.step, h.changed,
        ts_headline('proofpan', left(w.words, 20000), q.query, 'StartSel=«,StopSel=»,MaxWords=12,MinWords=6') AS snippet
    FROM hits h JOIN study_words w ON w.study_id = h.id, asked q ORDER BY h.rank DESC, h.changed DESC, h.id
"""


def fold(text: str) -> str:
    """Without accents, so that `creme` finds `crème` (SQLite's index does this itself)."""
    return "".join(c for c in unicodedata.normalize("NFKD", text) if not unicodedata.combining(c))


def index(connection: Connection, study_id: str, title: str, words: str) -> None:
    """Put a study's words into the index in place of those it had."""
    words = words[:INDEXED_CHARACTERS]
    connection.execute(sa.text("DELETE FROM study_words WHERE study_id = :id"), {"id": study_id})
    row = {"id": study_id, "title": title, "words": words}
    if connection.dialect.name == "sqlite":
        adding = "INSERT INTO study_words (study_id, title, words) VALUES (:id, :title, :words)"
    else:
        adding = (
            "INSERT INTO study_words (study_id, title, words, folded_title, folded_words) "
            "VALUES (:id, :title, :words, :folded_title, :folded_words)"
        )
        row |= {"folded_title": fold(title), "folded_words": fold(words)}
    connection.execute(sa.text(adding), row)


def search(connection: Connection, words: str, limit: int) -> tuple[Found, ...]:
    """Studies that hold all the words, best first.

    Raises:
        NotebookError: the limit is below one.
    """
    if limit < 1:
        raise NotebookError(f"A search shows at least one study, not {limit}.")
    # only letters and digits reach the query language, so nothing typed can be an operator
    asked = re.findall(r"[^\W_]+", fold(words).lower())[:20]
    if not asked:
        return ()
    if connection.dialect.name == "sqlite":
        query, statement = " ".join(f'"{word}"*' for word in asked), IN_FILE
    else:
        query, statement = " & ".join(f"{word}:*" for word in asked), ON_SERVER
    rows = connection.execute(sa.text(statement), {"query": query, "limit": limit})
    return tuple(Found(row.id, row.title, row.step, row.changed, row.snippet) for row in rows)


def clear(connection: Connection) -> None:
    """Empty the index."""
    connection.execute(sa.text("DELETE FROM study_words"))


def forget(connection: Connection) -> None:
    """Let go of words that are no longer in any study: SQLite's index keeps them until its parts are put together."""
    if connection.dialect.name == "sqlite":
        connection.execute(sa.text("INSERT INTO study_words (study_words) VALUES ('optimize')"))


def index_all(connection: Connection) -> None:
    """Build the index anew from each study's newest revision."""
    clear(connection)
    current = (
        sa.select(revision.c.study_id, revision.c.title, sa.func.coalesce(revision.c.words, revision.c.text))
        .join(study, study.c.id == revision.c.study_id)
        .where(revision.c.number == study.c.revision)
    )
    for study_id, title, words in connection.execute(current).all():
        index(connection, study_id, title, words)
