"""How Alembic runs our migrations: on the connection, and inside the transaction, that it is handed."""

from __future__ import annotations

from alembic import context

from kettleglass.workshop.tables import METADATA

context.configure(
    connection=context.config.attributes["connection"],
    target_metadata=METADATA,
    render_as_batch=True,
    transactional_ddl=True,
)
with context.begin_transaction():
    context.run_migrations()
