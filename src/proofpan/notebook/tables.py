"""The notebook's tables as they are now; `migrations/versions` says how they came to be so."""

from sqlalchemy import BigInteger, Column, ForeignKeyConstraint, Index, Integer, MetaData, Table, Text, UniqueConstraint

metadata = MetaData(
    naming_convention={
        "pk": "pk_%(table_name)s",
        "fk": "fk_%(table_name)s_%(column_0_N_name)s",
        "uq": "uq_%(table_name)s_%(column_0_N_name)s",
        "ix": "ix_%(table_name)s_%(column_0_N_name)s",
        "ck": "ck_%(table_name)s_%(constraint_name)s",
    }
)

# SQLite counts rows up only in a column declared exactly INTEGER
RUNNING = BigInteger().with_variant(Integer, "sqlite")

study = Table(
    "study",
    metadata,
    Column("id", Text, primary_key=True),
    Column("title", Text, nullable=False),
    Column("step", Text, nullable=False),
    Column("created", Text, nullable=False),
    Column("changed", Text, nullable=False),
    Column("deleted", Text),
    Column("revision", Integer, nullable=False),
)

revision = Table(
    "revision",
    metadata,
    Column("study_id", Text, primary_key=True),
    Column("number", Integer, primary_key=True),
    Column("parent", Integer),  # the change that this one was made upon; none for the first
    Column("same_as", Integer),  # set by undo and redo: the change whose text this is
    Column("at", Text, nullable=False),
    Column("note", Text, nullable=False),
    Column("title", Text, nullable=False),
    Column("step", Text, nullable=False),
    Column("text", Text, nullable=False),
    Column("words", Text),  # what a search reads; none: the text itself
    ForeignKeyConstraint(["study_id"], ["study.id"]),
)

event = Table(
    "event",
    metadata,
    Column("id", RUNNING, primary_key=True, autoincrement=True),
    Column("study_id", Text, nullable=False),
    Column("kind", Text, nullable=False),
    Column("key", Text, nullable=False),
    Column("payload", Text, nullable=False),
    Column("person", Text),
    Column("at", Text, nullable=False),
    ForeignKeyConstraint(["study_id"], ["study.id"]),
    UniqueConstraint("study_id", "key"),
    Index(None, "study_id", "id"),
    sqlite_autoincrement=True,  # the number of a removed private event is never given again
)

media = Table(
    "media",
    metadata,
    Column("digest", Text, primary_key=True),
    Column("name", Text, nullable=False),
    Column("media_type", Text, nullable=False),
    Column("size", BigInteger, nullable=False),
    Column("at", Text, nullable=False),
)

people = Table(
    "people",
    metadata,
    Column("study_id", Text, primary_key=True),
    Column("name", Text, primary_key=True),
    Column("facts", Text, nullable=False),
    Column("changed", Text, nullable=False),
    ForeignKeyConstraint(["study_id"], ["study.id"]),
)

tasting = Table(
    "tasting",
    metadata,
    Column("study_id", Text, primary_key=True),
    Column("round", Integer, primary_key=True, autoincrement=False),
    Column("opened", Text, nullable=False),
    Column("closed", Text),
    ForeignKeyConstraint(["study_id"], ["study.id"]),
)

seat = Table(
    "seat",
    metadata,
    Column("study_id", Text, primary_key=True),
    Column("round", Integer, primary_key=True, autoincrement=False),
    Column("taster", Text, primary_key=True),
    Column("place", Integer, nullable=False),
    Column("token_digest", Text, nullable=False),
    ForeignKeyConstraint(["study_id", "round"], ["tasting.study_id", "tasting.round"]),
    UniqueConstraint("token_digest"),
)
