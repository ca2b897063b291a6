"""What was recorded stays as it was written, whichever way one tries."""

import pytest
from django.db import transaction
from django.utils import timezone

from inventory.models import (
    AppendOnly,
    End,
    Impurity,
    LogEntry,
    Method,
    Movement,
    MovementKind,
)
from inventory.operations import ledger
from tests.domain.kept import (
    KEPT,
    RECORDS,
    each_record,
    refused_by_the_database,
    run_sql,
)
from tests.domain.vouched import make_assay
from tests.factories import (
    G,
    make_batch,
    make_vessel,
)

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("shipped")]


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


@each_record
def test_the_database_refuses_to_change_a_record(model):
    table, column = model._meta.db_table, RECORDS[model]

    with refused_by_the_database(KEPT):
        run_sql(f"UPDATE {table} SET {column} = {column}")


@each_record
def test_the_database_refuses_to_delete_a_record(model):
    with refused_by_the_database(KEPT):
        run_sql(f"DELETE FROM {model._meta.db_table}")


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
