"""Run by Alembic; the connection and its transaction come from ``project.store``, which commits or rolls back."""

from alembic import context

context.configure(connection=context.config.attributes["connection"])
context.run_migrations()
