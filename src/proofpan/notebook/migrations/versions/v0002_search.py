"""An index of words over all studies."""

import unicodedata

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"

INDEXED_CHARACTERS = 250_000  # a server's index takes at most 1 MB of distinct words from one text
CURRENT = """
    SELECT s.id, r.title, coalesce(r.words, r.text) AS words
    FROM study s JOIN revision r ON r.study_id = s.id AND r.number = s.revision
"""


def upgrade() -> None:
    """Make the index and fill it from each study's newest revision."""
    connection = op.get_bind()
    if connection.dialect.name == "sqlite":
        # porter: "crackers" finds "cracker"; diacritics folded: "creme" finds "crème"
        connection.exec_driver_sql(
            "CREATE VIRTUAL TABLE study_words USING fts5("
            "study_id UNINDEXED, title, words, tokenize = 'porter unicode61 remove_diacritics 2')"
        )
        connection.exec_driver_sql(f"INSERT INTO study_words (study_id, title, words) {CURRENT}")
        return
    # English endings without a list of stop words, so that "not salted" can be found; the same as on SQLite
    connection.exec_driver_sql("CREATE TEXT SEARCH DICTIONARY proofpan_endings (TEMPLATE = snowball, LANGUAGE = english)")
    connection.exec_driver_sql("CREATE TEXT SEARCH CONFIGURATION proofpan (COPY = simple)")
    connection.exec_driver_sql(
        "ALTER TEXT SEARCH CONFIGURATION proofpan ALTER MAPPING FOR asciiword, word, hword, asciihword, hword_part, "
        "hword_asciipart WITH proofpan_endings"
    )
    op.create_table(
        "study_words",
        sa.Column("study_id", sa.Text, nullable=False),
        sa.Column("title", sa.Text, nullable=False),
        sa.Column("words", sa.Text, nullable=False),
        sa.Column("folded_title", sa.Text, nullable=False),
        sa.Column("folded_words", sa.Text, nullable=False),
        sa.PrimaryKeyConstraint("study_id", name="pk_study_words"),
        sa.ForeignKeyConstraint(["study_id"], ["study.id"], name="fk_study_words_study_id"),
    )
    connection.exec_driver_sql(
        "ALTER TABLE study_words ADD COLUMN vector tsvector GENERATED ALWAYS AS ("
        "setweight(to_tsvector('proofpan', folded_title), 'A') || to_tsvector('proofpan', folded_words)) STORED"
    )
    connection.exec_driver_sql("CREATE INDEX ix_study_words_vector ON study_words USING gin (vector)")
    for study_id, title, words in connection.exec_driver_sql(CURRENT).all():
        row = {"id": study_id, "title": title, "words": words[:INDEXED_CHARACTERS]}
        row |= {"folded_title": _fold(title), "folded_words": _fold(row["words"])}
        connection.execute(sa.text("INSERT INTO study_words VALUES (:id, :title, :words, :folded_title, :folded_words)"), row)


def _fold(text: str) -> str:
    return "".join(c for c in unicodedata.normalize("NFKD", text) if not unicodedata.combining(c))
