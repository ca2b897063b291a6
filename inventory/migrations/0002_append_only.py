"""The database's own refusals: records stay as written, no vessel goes below nothing."""

from django.db import migrations

TABLES = (
    "inventory_movement",
    "inventory_weighing",
    "inventory_charge",
    "inventory_property",
    "inventory_logentry",
    "inventory_event",
    "inventory_estimate",
)
# SQLite's INSERT OR REPLACE deletes the row in its way without asking a DELETE
# trigger, so an insert that meets a row in one of these columns is refused itself.
ONLY_ONCE = {
    "inventory_movement": ("id", "corrects_id"),
    "inventory_charge": ("id", "withdraws_id"),
    "inventory_weighing": ("id", "strikes_id"),
    "inventory_logentry": ("id", "request_id"),
    "inventory_event": ("id", ("vessel_id", "entry_id", "place")),
    "inventory_estimate": ("id", ("event_id", "revision")),
}
HELD = """
    (SELECT COALESCE(SUM(mass_ug), 0) FROM inventory_movement
     WHERE to_vessel_id = NEW.from_vessel_id)
  - (SELECT COALESCE(SUM(mass_ug), 0) FROM inventory_movement
     WHERE from_vessel_id = NEW.from_vessel_id)
"""
KEPT = "records are corrected by further records, never changed or deleted"
EMPTY = "a vessel cannot give more metal than it holds"


def sqlite_triggers():
    """Yield (create, drop) for SQLite."""
    for table in TABLES:
        yield from sqlite_keeping(table, ONLY_ONCE.get(table, ("id",)))
    yield (
        "CREATE TRIGGER IF NOT EXISTS inventory_movement_not_below_nothing "
        "BEFORE INSERT ON inventory_movement WHEN NEW.from_vessel_id IS NOT NULL "
        f"AND NEW.mass_ug > {HELD} BEGIN SELECT RAISE(ABORT, '{EMPTY}'); END",
        "DROP TRIGGER IF EXISTS inventory_movement_not_below_nothing",
    )


def sqlite_keeping(table, only_once):
    """Yield (create, drop) of what keeps a table's rows as they were written.

    `only_once` are columns, or tuples of columns that are only together unique.
    """
    for verb in ("update", "delete"):
        name = f"{table}_no_{verb}"
        yield (
            f"CREATE TRIGGER IF NOT EXISTS {name} BEFORE {verb.upper()} ON {table} "
            f"BEGIN SELECT RAISE(ABORT, '{KEPT}'); END",
            f"DROP TRIGGER IF EXISTS {name}",
        )
    met = " OR ".join(map(sqlite_met, only_once))
    yield (
        f"CREATE TRIGGER IF NOT EXISTS {table}_no_replace BEFORE INSERT ON {table} "
        f"WHEN EXISTS (SELECT 1 FROM {table} WHERE {met}) "
        f"BEGIN SELECT RAISE(ABORT, '{KEPT}'); END",
        f"DROP TRIGGER IF EXISTS {table}_no_replace",
    )


def sqlite_met(columns):
    """Return the condition that a row is in the way of a new one."""
    if isinstance(columns, str):
        return f"{columns} = NEW.{columns}"
    return "(" + " AND ".join(map(sqlite_met, columns)) + ")"


def postgresql_keeping(table):
    """Yield (create, drop) of the same, with 0002's function."""
    yield (
        f"CREATE TRIGGER {table}_keep BEFORE UPDATE OR DELETE ON {table} "
        "FOR EACH ROW EXECUTE FUNCTION inventory_keep_record()",
        f"DROP TRIGGER {table}_keep ON {table}",
    )


def postgresql_triggers():
    """Yield (create, drop) for PostgreSQL. Table owners can still TRUNCATE."""
    yield (
        "CREATE FUNCTION inventory_keep_record() RETURNS trigger LANGUAGE plpgsql AS "
        f"$$ BEGIN RAISE EXCEPTION '{KEPT}' USING ERRCODE = 'integrity_constraint_"
        "violation'; END $$",
        "DROP FUNCTION inventory_keep_record()",
    )
    for table in TABLES:
        yield from postgresql_keeping(table)
    yield (
        "CREATE FUNCTION inventory_not_below_nothing() RETURNS trigger "
        "LANGUAGE plpgsql AS $$ BEGIN IF NEW.from_vessel_id IS NOT NULL "
        f"AND NEW.mass_ug > {HELD} THEN RAISE EXCEPTION '{EMPTY}' "
        "USING ERRCODE = 'integrity_constraint_violation'; END IF; RETURN NEW; END $$",
        "DROP FUNCTION inventory_not_below_nothing()",
    )
    yield (
        "CREATE TRIGGER inventory_movement_not_below_nothing "
        "BEFORE INSERT ON inventory_movement "
        "FOR EACH ROW EXECUTE FUNCTION inventory_not_below_nothing()",
        "DROP TRIGGER inventory_movement_not_below_nothing ON inventory_movement",
    )


def keeping(vendor, only_once):
    """Return [(create, drop)] that keep further tables; `only_once` is by table."""
    if vendor == "sqlite":
        kept = [sqlite_keeping(table, columns) for table, columns in only_once.items()]
    else:
        kept = [postgresql_keeping(table) for table in only_once]
    return [pair for pairs in kept for pair in pairs]


def triggers(vendor):
    return list(
        {"sqlite": sqlite_triggers, "postgresql": postgresql_triggers}[vendor]()
    )


def run(editor, statements):
    with editor.connection.cursor() as cursor:
        for statement in statements:
            cursor.execute(statement)


def create(apps, editor):
    run(editor, [create for create, _ in triggers(editor.connection.vendor)])


def drop(apps, editor):
    run(editor, [drop for _, drop in reversed(triggers(editor.connection.vendor))])


class Migration(migrations.Migration):
    dependencies = [("inventory", "0001_initial")]

    operations = [migrations.RunPython(create, drop)]
