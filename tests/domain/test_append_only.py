"""What was recorded stays as it was written, whichever way one tries."""

import pytest
from django.db import IntegrityError, connection, transaction
from django.utils import timezone

from inventory.models import (
    AppendOnly,
    Assay,
    Attachment,
    Charge,
    Closing,
    End,
    Estimate,
    Event,
    HandOver,
    HandOverLine,
    Impurity,
    Inspection,
    LabelPrint,
    LogEntry,
    LotProfile,
    Method,
    Movement,
    MovementKind,
    Property,
    RequestStep,
    Return,
    RunReading,
    Weighing,
)
from inventory.operations import batches, ledger
from tests.domain.closed import close, make_filled
from tests.domain.read_off import make_reading, make_run
from tests.domain.records import on_record
from tests.domain.shared import make_one_of_each
from tests.domain.vouched import make_assay, make_attachment
from tests.factories import (
    G,
    make_batch,
    make_label_print,
    make_lot_profile,
    make_vessel,
    signed,
    take,
)

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("shipped")]

RECORDS = {
    Movement: "mass_ug",
    Weighing: "reading_ug",
    Charge: "mass_ug",
    Closing: "collected_ug",
    Property: "value",
    LogEntry: "summary",
    Event: "words",
    Estimate: "metal_ug",
    LotProfile: "document",
    LabelPrint: "reason",
    Attachment: "size_bytes",
    Assay: "purity",
    Impurity: "fraction",
    RunReading: "receiver_ul",
    RequestStep: "reason",
    HandOver: "carried",
    HandOverLine: "mass_ug",
    Return: "note",
    Inspection: "look",
}


def each_record(test):
    """Run a test of one record for each kind, on one laboratory: nothing changes it."""

    def run(subtests, kept):
        for model in RECORDS:
            with subtests.test(model=model.__name__):
                test(model)

    run.__name__, run.__doc__ = test.__name__, test.__doc__
    return run


KEPT = "records are corrected by further records, never changed or deleted"


@pytest.fixture
def kept():
    """Record something of everything, and check in the end that it is all there."""
    take(make_vessel())
    make_one_of_each()
    make_assay(make_batch(), {"Fe": "1 ppm"}, certificate=None)
    make_attachment(make_batch())
    make_reading(make_run(make_batch()))
    close(make_filled(G))
    batches.charge(
        make_batch(),
        formula="RbCl",
        role="source",
        mass_ug=G,
        u_ug=1,
        purity=1.0,
        **signed(),
    )
    make_label_print(make_vessel(make_lot_profile(make_batch("K")).batch))
    before = on_record()
    yield
    assert on_record() == before


def refused_by_the_database(sentence):
    return pytest.raises(IntegrityError, match=sentence)


@each_record
def test_saving_a_changed_record_is_refused(model):
    record = model.objects.first()
    setattr(record, RECORDS[model], 1)

    with pytest.raises(AppendOnly, match="never changed"):
        record.save()


@each_record
def test_saving_one_field_of_a_record_is_refused(model):
    record = model.objects.first()

    with pytest.raises(AppendOnly, match="never changed"):
        record.save(update_fields=[RECORDS[model]])


@each_record
def test_deleting_a_record_is_refused(model):
    with pytest.raises(AppendOnly, match="never deleted"):
        model.objects.first().delete()


@each_record
def test_updating_many_records_is_refused(model):
    with pytest.raises(AppendOnly, match="never changed"):
        model.objects.update(**{RECORDS[model]: 1})


@each_record
def test_updating_records_in_bulk_is_refused(model):
    with pytest.raises(AppendOnly, match="never changed"):
        model.objects.bulk_update([model.objects.first()], [RECORDS[model]])


@each_record
def test_deleting_many_records_is_refused(model):
    with pytest.raises(AppendOnly, match="never deleted"):
        model.objects.all().delete()


@each_record
def test_changing_by_update_or_create_is_refused(model):
    with pytest.raises(AppendOnly, match="never changed"):
        model.objects.update_or_create(
            pk=model.objects.first().pk, defaults={RECORDS[model]: 1}
        )


@each_record
def test_changing_by_an_insert_that_turns_into_an_update_is_refused(model):
    record = model.objects.first()
    setattr(record, RECORDS[model], 1)

    with refused_by_the_database(KEPT), transaction.atomic():
        model.objects.bulk_create(
            [record],
            update_conflicts=True,
            unique_fields=["id"],
            update_fields=[RECORDS[model]],
        )


def test_changing_through_a_related_manager_is_refused(kept):
    movement = Movement.objects.exclude(to_vessel=None).first()

    with pytest.raises(AppendOnly):
        movement.to_vessel.movements_in.update(mass_ug=1)
    with pytest.raises(AppendOnly):
        movement.to_vessel.movements_in.all().delete()


def run_sql(statement, values=()):
    with transaction.atomic(), connection.cursor() as cursor:
        cursor.execute(statement, values)


@each_record
def test_the_database_refuses_to_change_a_record(model):
    table, column = model._meta.db_table, RECORDS[model]

    with refused_by_the_database(KEPT):
        run_sql(f"UPDATE {table} SET {column} = {column}")


@each_record
def test_the_database_refuses_to_delete_a_record(model):
    with refused_by_the_database(KEPT):
        run_sql(f"DELETE FROM {model._meta.db_table}")


@pytest.mark.skipif(
    connection.vendor != "sqlite", reason="only SQLite has INSERT OR REPLACE"
)
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


@pytest.mark.skipif(
    connection.vendor != "sqlite", reason="only SQLite has INSERT OR REPLACE"
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
@pytest.mark.skipif(
    connection.vendor != "sqlite", reason="only SQLite has INSERT OR REPLACE"
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


def test_the_database_takes_a_further_impurity_of_the_same_assay(shipped):
    assay = make_assay(make_batch(), {"Fe": "1 ppm"}, certificate=None)

    with transaction.atomic():
        Impurity.objects.create(assay=assay, species="Ni", fraction=1e-6, unit="ppm")

        assert assay.impurities.count() == 2
        transaction.set_rollback(True)


def withdrawal(vessel, mass_ug):
    """Return a movement out of `vessel`, past every operation."""
    return Movement(
        kind=MovementKind.WITHDRAWAL,
        method=Method.WEIGHED,
        material=vessel.batch.material,
        mass_ug=mass_ug,
        u_ug=0,
        happened_at=timezone.now(),
        from_vessel=vessel,
        to_end=End.EXPERIMENT,
        entry=LogEntry.objects.first(),
    )


def test_the_database_refuses_a_movement_of_more_than_the_vessel_holds():
    vessel = make_vessel(holding_ug=5 * G)

    with (
        refused_by_the_database("a vessel cannot give more metal than it holds"),
        transaction.atomic(),
    ):
        withdrawal(vessel, 5 * G + 1).save()

    assert ledger.read(vessel.pk).remaining_ug == 5 * G


def test_the_database_refuses_two_movements_that_are_too_much_together():
    vessel = make_vessel(holding_ug=5 * G)

    with (
        refused_by_the_database("a vessel cannot give more metal than it holds"),
        transaction.atomic(),
    ):
        Movement.objects.bulk_create(
            [withdrawal(vessel, 3 * G), withdrawal(vessel, 3 * G)]
        )

    assert ledger.read(vessel.pk).remaining_ug == 5 * G


def test_the_database_allows_a_movement_of_all_the_vessel_holds():
    vessel = make_vessel(holding_ug=5 * G)

    with transaction.atomic():
        withdrawal(vessel, 5 * G).save()

        assert ledger.read(vessel.pk).remaining_ug == 0
        transaction.set_rollback(True)
