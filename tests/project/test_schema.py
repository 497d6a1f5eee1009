"""The tables that the migrations make are the tables that the program reads and writes."""

import sqlalchemy as sa
from alembic import command
from alembic.autogenerate import compare_metadata
from alembic.config import Config
from alembic.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy.dialects import postgresql
from sqlalchemy.schema import CreateTable

from slabwright.project.opening import FORMAT, MIGRATIONS
from slabwright.project.schema import FACT, METADATA, TEMPORAL
from slabwright.records.facts import FACTS


def migrated(connection):
    config = Config()
    config.set_main_option("script_location", str(MIGRATIONS).replace("%", "%%"))
    config.set_main_option("path_separator", "os")
    config.attributes["connection"] = connection
    command.upgrade(config, "head")


def layout(connection):
    """All that a database says of its tables, whatever the order of columns.

    Defaults apart: a column that a migration adds needs one for the rows that stand, and the program writes every column.
    """
    found, types = sa.inspect(connection), connection.dialect.type_compiler_instance
    return {
        table: (
            {c["name"]: (types.process(c["type"]), c["nullable"]) for c in found.get_columns(table)},
            found.get_pk_constraint(table)["constrained_columns"],
            sorted(
                (k["constrained_columns"], k["referred_table"], k["referred_columns"])
                for k in found.get_foreign_keys(table)
            ),
            sorted(u["column_names"] for u in found.get_unique_constraints(table)),
            sorted((i["name"], i["column_names"], i["unique"]) for i in found.get_indexes(table)),
            sorted(c["sqltext"] for c in found.get_check_constraints(table)),
        )
        for table in found.get_table_names()
    }


def test_the_migrated_schema_is_the_declared_one():
    with sa.create_engine("sqlite://").begin() as connection:
        migrated(connection)
        context = MigrationContext.configure(connection, opts={"compare_type": True})
        assert compare_metadata(context, METADATA) == []


def test_a_new_project_has_the_tables_of_a_migrated_one(project):
    with sa.create_engine("sqlite://").begin() as connection, project.store.reading() as made:
        migrated(connection)
        assert layout(made) == layout(connection)
        version = sa.text("SELECT version_num FROM alembic_version")
        assert made.execute(version).scalars().all() == connection.execute(version).scalars().all() == [FORMAT]


def test_every_table_of_facts_has_a_sql_table_with_its_columns_and_types(project):
    kinds = {True: sa.Text, False: sa.Float}
    with project.store.reading() as connection:
        inspector = sa.inspect(connection)
        for name, schema in FACTS.items():
            found = {c["name"]: c["type"] for c in inspector.get_columns(FACT[name].name)}
            assert list(found)[:5] == ["id", "inserted", "closed", "source_file", "source_row"]
            assert list(found)[5:] == list(schema.names)
            for column in schema.columns:
                assert isinstance(found[column.name], kinds[column.is_text])


def test_the_stated_format_is_the_newest_migration():
    config = Config()
    config.set_main_option("script_location", str(MIGRATIONS).replace("%", "%%"))
    config.set_main_option("path_separator", "os")
    assert ScriptDirectory.from_config(config).get_current_head() == FORMAT


def test_every_temporal_table_is_covered_by_undo():
    assert {t.name for t in METADATA.tables.values() if "inserted" in t.c} == {t.name for t in TEMPORAL}
    assert len(TEMPORAL) == len(FACTS) + 5


def test_the_schema_is_one_that_postgresql_takes():
    statements = [str(CreateTable(t).compile(dialect=postgresql.dialect())) for t in METADATA.sorted_tables]
    assert all("CREATE TABLE" in s for s in statements)
    assert not any("BLOB" in s or "DATETIME" in s for s in statements)
