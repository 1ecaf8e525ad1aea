"""Runs the migrations on the connection that ``migrate.upgrade`` hands over."""

from alembic import context

from planner.adapters.db.tables import Base

connection = context.config.attributes["connection"]
context.configure(
    connection=connection,
    target_metadata=Base.metadata,
    render_as_batch=True,
    transaction_per_migration=False,
)
context.run_migrations()
