"""Runs migrations on the connection it is handed, inside the transaction that is open there."""

from alembic import context

from proofpan.notebook.tables import metadata

context.configure(
    connection=context.config.attributes["connection"],
    target_metadata=metadata,
    version_table="proofpan_version",
    render_as_batch=True,
)
context.run_migrations()
