"""SQLite's INSERT OR REPLACE, which asks no trigger before it deletes, is refused."""

import pytest
from django.db import connection

from inventory.models import Estimate, Event, HandOverLine, Impurity
from tests.domain.kept import (
    KEPT,
    RECORDS,
    each_record,
    refused_by_the_database,
    run_sql,
)

pytestmark = [
    pytest.mark.django_db,
    pytest.mark.usefixtures("shipped"),
    pytest.mark.skipif(
        connection.vendor != "sqlite", reason="only SQLite has INSERT OR REPLACE"
    ),
]


@each_record
def test_the_database_refuses_to_replace_a_record(model):
    table, column = model._meta.db_table, RECORDS[model]
    columns = [field.column for field in model._meta.concrete_fields]
    values = ", ".join("7" if name == column else name for name in columns)

    with refused_by_the_database(KEPT):
        run_sql(
            f"INSERT OR REPLACE INTO {table} ({', '.join(columns)}) "
            f"SELECT {values} FROM {table} LIMIT 1"
        )


def test_the_database_refuses_to_replace_a_log_entry_by_its_request_id(kept):
    with refused_by_the_database(KEPT):
        run_sql(
            "INSERT OR REPLACE INTO inventory_logentry "
            "(request_id, verb, summary, recorded_at) "
            "SELECT request_id, 'x', 'x', recorded_at FROM inventory_logentry LIMIT 1"
        )


@pytest.mark.parametrize(
    "model", [Estimate, Event, HandOverLine, Impurity], ids=lambda m: m.__name__
)
def test_the_database_refuses_to_replace_a_record_by_what_is_unique(model, kept):
    table = model._meta.db_table
    columns = [f.column for f in model._meta.concrete_fields if not f.primary_key]
    # What is unique by itself is made new, for the trigger knows it already.
    alone = {f.column for f in model._meta.concrete_fields if f.unique}
    values = ", ".join("99" if name in alone else name for name in columns)

    with refused_by_the_database(KEPT):
        run_sql(
            f"INSERT OR REPLACE INTO {table} ({', '.join(columns)}) "
            f"SELECT {values} FROM {table} LIMIT 1"
        )
