"""Studies with their revisions, events, files, people and tastings."""

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None


def upgrade() -> None:
    """Make the first tables."""
    op.create_table(
        "study",
        sa.Column("id", sa.Text, nullable=False),
        sa.Column("title", sa.Text, nullable=False),
        sa.Column("step", sa.Text, nullable=False),
        sa.Column("created", sa.Text, nullable=False),
        sa.Column("changed", sa.Text, nullable=False),
        sa.Column("deleted", sa.Text),
        sa.Column("revision", sa.Integer, nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_study"),
    )
    op.create_table(
        "revision",
        sa.Column("study_id", sa.Text, nullable=False),
        sa.Column("number", sa.Integer, nullable=False),
        sa.Column("parent", sa.Integer),
        sa.Column("same_as", sa.Integer),
        sa.Column("at", sa.Text, nullable=False),
        sa.Column("note", sa.Text, nullable=False),
        sa.Column("title", sa.Text, nullable=False),
        sa.Column("step", sa.Text, nullable=False),
        sa.Column("text", sa.Text, nullable=False),
        sa.Column("words", sa.Text),
        sa.PrimaryKeyConstraint("study_id", "number", name="pk_revision"),
        sa.ForeignKeyConstraint(["study_id"], ["study.id"], name="fk_revision_study_id"),
    )
    op.create_table(
        "event",
        sa.Column("id", sa.BigInteger().with_variant(sa.Integer, "sqlite"), autoincrement=True, nullable=False),
        sa.Column("study_id", sa.Text, nullable=False),
        sa.Column("kind", sa.Text, nullable=False),
        sa.Column("key", sa.Text, nullable=False),
        sa.Column("payload", sa.Text, nullable=False),
        sa.Column("person", sa.Text),
        sa.Column("at", sa.Text, nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_event"),
        sa.ForeignKeyConstraint(["study_id"], ["study.id"], name="fk_event_study_id"),
        sa.UniqueConstraint("study_id", "key", name="uq_event_study_id_key"),
        sqlite_autoincrement=True,
    )
    op.create_index("ix_event_study_id_id", "event", ["study_id", "id"])
    op.create_table(
        "media",
        sa.Column("digest", sa.Text, nullable=False),
        sa.Column("name", sa.Text, nullable=False),
        sa.Column("media_type", sa.Text, nullable=False),
        sa.Column("size", sa.BigInteger, nullable=False),
        sa.Column("at", sa.Text, nullable=False),
        sa.PrimaryKeyConstraint("digest", name="pk_media"),
    )
    op.create_table(
        "people",
        sa.Column("study_id", sa.Text, nullable=False),
        sa.Column("name", sa.Text, nullable=False),
        sa.Column("facts", sa.Text, nullable=False),
        sa.Column("changed", sa.Text, nullable=False),
        sa.PrimaryKeyConstraint("study_id", "name", name="pk_people"),
        sa.ForeignKeyConstraint(["study_id"], ["study.id"], name="fk_people_study_id"),
    )
    op.create_table(
        "tasting",
        sa.Column("study_id", sa.Text, nullable=False),
        sa.Column("round", sa.Integer, autoincrement=False, nullable=False),
        sa.Column("opened", sa.Text, nullable=False),
        sa.Column("closed", sa.Text),
        sa.PrimaryKeyConstraint("study_id", "round", name="pk_tasting"),
        sa.ForeignKeyConstraint(["study_id"], ["study.id"], name="fk_tasting_study_id"),
    )
    op.create_table(
        "seat",
        sa.Column("study_id", sa.Text, nullable=False),
        sa.Column("round", sa.Integer, autoincrement=False, nullable=False),
        sa.Column("taster", sa.Text, nullable=False),
        sa.Column("place", sa.Integer, nullable=False),
        sa.Column("token_digest", sa.Text, nullable=False),
        sa.PrimaryKeyConstraint("study_id", "round", "taster", name="pk_seat"),
        sa.ForeignKeyConstraint(["study_id", "round"], ["tasting.study_id", "tasting.round"], name="fk_seat_study_id_round"),
        sa.UniqueConstraint("token_digest", name="uq_seat_token_digest"),
    )
