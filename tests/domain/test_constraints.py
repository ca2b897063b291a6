"""What must never be is refused by the database itself, on SQLite and PostgreSQL."""

from datetime import UTC, datetime

import pytest
from django.apps import apps
from django.db import IntegrityError, transaction
from django.db.models import CheckConstraint, F, UniqueConstraint
from django.utils import timezone

from inventory.models import (
    Assay,
    Attachment,
    Balance,
    Batch,
    BookingLine,
    Charge,
    Closing,
    Estimate,
    Event,
    HazardProfile,
    Impurity,
    LabelPrint,
    LabelSheet,
    Laboratory,
    LotProfile,
    Medium,
    MediumHazard,
    MediumRule,
    Membership,
    Movement,
    Place,
    Project,
    Property,
    RunLog,
    RunReading,
    User,
    Vessel,
    Weighing,
)
from inventory.models.append_only import AppendOnlyModel
from inventory.operations import batches
from tests.domain import shared
from tests.domain.closed import close, make_filled
from tests.domain.read_off import make_reading, make_run
from tests.domain.vouched import make_assay, make_attachment
from tests.factories import (
    G,
    make_booking,
    make_label_print,
    make_label_sheet,
    make_laboratory,
    make_lot_profile,
    make_place,
    make_project,
    make_tared,
    make_vessel,
    signed,
    somebody,
)

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("shipped")]

TODAY = timezone.localdate()
LONG_AGO = datetime(2000, 1, 1, tzinfo=UTC)
ALONE = {"batch_id": None, "number": None, "code": None}
WAITING = {**ALONE, "glass_mark": "A 7", "filled_on": None}

NEVER = [
    (Assay, "assay_purity_is_a_fraction", {"purity": 0.0}),
    (Assay, "assay_purity_is_a_fraction", {"purity": 1.01}),
    (Attachment, "attachment_kind_known", {"kind": "song"}),
    (Attachment, "attachment_holds_something", {"size_bytes": 0}),
    (Balance, "balance_numbers_make_sense", {"readability_ug": 0}),
    (Balance, "balance_numbers_make_sense", {"repeatability_ug": -1}),
    (Balance, "balance_numbers_make_sense", {"nonlinearity_ug": -1}),
    (Balance, "balance_numbers_make_sense", {"drift_ppm": -0.1}),
    (Balance, "balance_numbers_make_sense", {"capacity_ug": 0}),
    (Batch, "batch_kind_known", {"kind": "found"}),
    (Batch, "batch_process_known", {"process": "magic"}),
    (Batch, "batch_purity_is_a_fraction", {"purity": 0.0}),
    (Batch, "batch_purity_is_a_fraction", {"purity": 1.01}),
    (BookingLine, "booking_line_mass_positive", {"mass_ug": 0}),
    (Charge, "charge_mass_positive", {"mass_ug": 0}),
    (Charge, "charge_mass_positive", {"u_ug": -1}),
    (Charge, "charge_purity_is_a_fraction", {"purity": 0.0}),
    (Charge, "charge_purity_is_a_fraction", {"purity": 1.01}),
    (Charge, "charge_u_purity_not_negative", {"u_purity": -0.01}),
    (Charge, "charge_u_purity_not_negative", {"u_purity": 1.0}),
    (Charge, "charge_role_known", {"role": "spice"}),
    (Charge, "charge_not_withdrawing_itself", {"id": 99, "withdraws_id": 99}),
    (Closing, "closing_masses_not_negative", {"collected_ug": -1}),
    (Closing, "closing_masses_not_negative", {"u_collected_ug": -1}),
    (Closing, "closing_masses_not_negative", {"lost_ug": -1}),
    (Closing, "closing_masses_not_negative", {"u_lost_ug": -1}),
    (Closing, "closing_method_known", {"method": "guessed"}),
    (Event, "event_kind_known", {"kind": "miracle", "place": 9}),
    (Impurity, "impurity_is_a_fraction", {"fraction": -1e-9, "species": "Ca"}),
    (Impurity, "impurity_is_a_fraction", {"fraction": 1.01, "species": "Ca"}),
    (LabelPrint, "label_print_mode_known", {"mode": "mars"}),
    (LabelPrint, "label_print_says_what", {"content_key": ""}),
    (LabelPrint, "label_print_says_what", {"languages": ""}),
    (
        LabelSheet,
        "label_sheet_sizes_positive",
        {"page_width_mm": 0.0, "label_width_mm": 0.0},
    ),
    (LabelSheet, "label_sheet_sizes_positive", {"label_height_mm": -1.0}),
    (LabelSheet, "label_sheet_sizes_positive", {"margin_left_mm": -0.1}),
    (LabelSheet, "label_sheet_sizes_positive", {"clear_mm": -0.1}),
    (LabelSheet, "label_sheet_sizes_positive", {"columns": 0}),
    (LabelSheet, "label_sheet_label_within_page", {"label_width_mm": 210.1}),
    (LabelSheet, "label_sheet_label_within_page", {"label_height_mm": 297.1}),
    (Laboratory, "laboratory_only_one", {"id": 2}),
    (LotProfile, "lot_profile_signal_word_known", {"signal_word": "Careful"}),
    (LotProfile, "lot_profile_names_its_document", {"document": ""}),
    (LotProfile, "lot_profile_not_withdrawing_itself", {"id": 99, "withdraws_id": 99}),
    (Medium, "medium_kind_known", {"kind": "plasma"}),
    (MediumHazard, "medium_hazard_signal_word_known", {"signal_word": "Careful"}),
    (MediumRule, "medium_rule_verdict_known", {"verdict": "perhaps"}),
    (Movement, "movement_mass_positive", {"mass_ug": 0}),
    (Movement, "movement_mass_positive", {"u_ug": -1}),
    (Movement, "movement_from_one_place", {"from_batch_id": None}),
    (Movement, "movement_from_one_place", {"from_end": "loss"}),
    (Movement, "movement_to_one_place", {"to_vessel_id": None}),
    (Movement, "movement_to_one_place", {"to_end": "loss"}),
    (
        Movement,
        "movement_goes_somewhere",
        {"from_batch_id": None, "from_vessel_id": F("to_vessel_id")},
    ),
    (Movement, "movement_kind_known", {"kind": "gift"}),
    (Movement, "movement_method_known", {"method": "guessed"}),
    (Movement, "movement_ends_known", {"to_vessel_id": None, "to_end": "sink"}),
    (Movement, "movement_ends_known", {"from_batch_id": None, "from_end": "tap"}),
    (Movement, "movement_correction_names_its_target", {"kind": "correction"}),
    (Movement, "movement_correction_names_its_target", {"corrects_id": F("id")}),
    (Place, "place_kind_known", {"kind": "pocket"}),
    (Place, "place_not_within_itself", {"within_id": F("id")}),
    (
        Project,
        "project_ends_after_it_starts",
        {"starts_on": "2025-03-02", "ends_on": "2025-03-01"},
    ),
    (Property, "property_of_one_holder", {"material_id": None}),
    (Property, "property_of_one_holder", {"medium_id": 1}),
    (Property, "property_shipped_has_value", {"value": None}),
    (RunLog, "run_log_volumes_positive", {"receiver_ul": 0}),
    (RunLog, "run_log_volumes_positive", {"u_receiver_ul": -1}),
    (RunLog, "run_log_worth_positive", {"worth_ug_per_h": 0}),
    (RunLog, "run_log_ends_after_it_starts", {"ended_at": LONG_AGO}),
    (RunReading, "run_reading_says_something", {"temperature_c": None}),
    (RunReading, "run_reading_numbers_possible", {"pressure_pa": 0.0}),
    (RunReading, "run_reading_numbers_possible", {"receiver_ul": -1}),
    (RunReading, "run_reading_numbers_possible", {"drip_s": 0.0}),
    (User, "user_role_known", {"role": "owner"}),
    (Vessel, "vessel_code_comes_with_batch", {"code": None}),
    (Vessel, "vessel_code_comes_with_batch", {"number": None}),
    (
        Vessel,
        "vessel_code_comes_with_batch",
        {"batch_id": None, "filled_on": None, "glass_mark": "A 7"},
    ),
    (Vessel, "vessel_without_batch_has_a_glass_mark", {**ALONE, "filled_on": None}),
    (Vessel, "vessel_capacity_positive", {"capacity_ul": 0}),
    (Vessel, "vessel_kind_known", {"kind": "bucket"}),
    (Vessel, "vessel_filled_has_batch_and_medium", {"medium_id": None}),
    (Vessel, "vessel_filled_has_batch_and_medium", {**ALONE, "glass_mark": "A 7"}),
    (Vessel, "vessel_spent_was_filled", {"filled_on": None, "spent_on": TODAY}),
    (Vessel, "vessel_retired_is_empty", {"retired_on": TODAY}),
    (Weighing, "weighing_reading_positive", {"reading_ug": 0}),
    (Weighing, "weighing_reading_positive", {"liquid_ug": -1}),
    (Weighing, "weighing_reading_positive", {"u_liquid_ug": -1}),
    (Weighing, "weighing_cause_known", {"cause": "magic"}),
    (Weighing, "weighing_purpose_known", {"purpose": "fun"}),
    *shared.NEVER,
]
# Copies of a row, with the other unique fields made new.
ONCE = [
    (Batch, "batch_run_once", {"code": "RB99Z"}),
    (BookingLine, "booking_line_open_once", {}),
    (Estimate, "estimate_once_a_revision", {}),
    (Event, "event_place_once", {}),
    (HazardProfile, "hazard_profile_once", {}),
    (Impurity, "impurity_once_an_assay", {}),
    (LabelSheet, "label_sheet_name_once", {}),
    (MediumRule, "medium_rule_once", {}),
    (Membership, "membership_once", {}),
    (Vessel, "vessel_glass_mark_waits_once", WAITING),
    (Vessel, "vessel_number_once", {"code": "RB99Z-01"}),
    *shared.ONCE,
]


@pytest.fixture
def one_of_each():
    """Make a valid row of every model."""
    vessel = make_vessel()
    make_tared(glass_mark="A 7")
    make_place()
    make_laboratory()
    make_booking(vessel, G, project=make_project(somebody()))
    shared.make_one_of_each()
    make_label_print(vessel)
    make_label_sheet()
    make_lot_profile(vessel.batch)
    batches.charge(
        vessel.batch,
        formula="RbCl",
        role="source",
        mass_ug=G,
        u_ug=1,
        purity=1.0,
        **signed(),
    )
    make_reading(make_run(vessel.batch))
    close(make_filled(G))
    certificate = make_attachment(vessel.batch)
    make_assay(vessel.batch, {"Fe": "1 ppm"}, certificate=certificate)


def copy(row, changes):
    """Return an unsaved copy of a row with changes; F("x") is the row's own x."""
    fields = [field for field in row._meta.concrete_fields if not field.primary_key]
    values = {field.attname: getattr(row, field.attname) for field in fields}
    for name, value in changes.items():
        values[name] = getattr(row, value.name) if isinstance(value, F) else value
    return type(row)(**values)


def put(row, changes):
    """Put `changes` past every operation: in place, or as a new record."""
    if isinstance(row, AppendOnlyModel):
        type(row).objects.bulk_create([copy(row, changes)])
    else:
        type(row).objects.filter(pk=row.pk).update(**changes)


def test_what_must_never_be_is_refused(one_of_each, subtests):
    for model, name, changes in NEVER:
        row = model.objects.order_by("pk").first()

        with (
            subtests.test(name=name, changes=changes),
            pytest.raises(IntegrityError, match=name),
            transaction.atomic(),
        ):
            put(row, changes)


def test_what_there_is_once_is_refused_a_second_time(one_of_each, subtests):
    by_trigger = "never changed or deleted"  # SQLite's, against INSERT OR REPLACE
    for model, name, new in ONCE:
        (constraint,) = [c for c in model._meta.constraints if c.name == name]
        table = model._meta.db_table
        columns = [model._meta.get_field(field).column for field in constraint.fields]
        on_sqlite = ", ".join(f"{table}.{column}" for column in columns)

        with (
            subtests.test(name=name),
            pytest.raises(IntegrityError, match=f"{name}|{on_sqlite}|{by_trigger}"),
            transaction.atomic(),
        ):
            copy(model.objects.order_by("pk").first(), new).save(force_insert=True)


def test_every_constraint_is_tried_here():
    ours = {
        constraint.name: type(constraint)
        for model in apps.get_app_config("inventory").get_models()
        for constraint in model._meta.constraints
        if not constraint.name.startswith("auth_")
    }

    assert set(ours.values()) <= {CheckConstraint, UniqueConstraint}
    assert {name for _, name, _ in NEVER} | {name for _, name, _ in ONCE} == set(ours)
