"""What is written once: a record of each kind, and how to go at it."""

import pytest
from django.db import IntegrityError, connection, transaction

from inventory.models import (
    Assay,
    Attachment,
    Charge,
    Closing,
    Estimate,
    Event,
    HandOver,
    HandOverLine,
    Impurity,
    Inspection,
    LabelPrint,
    LogEntry,
    LotProfile,
    Movement,
    Property,
    RequestStep,
    Return,
    RunReading,
    Weighing,
)
from inventory.operations import batches
from tests.domain.closed import close, make_filled
from tests.domain.read_off import make_reading, make_run
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


def record_everything():
    """Record something of everything."""
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


def refused_by_the_database(sentence):
    return pytest.raises(IntegrityError, match=sentence)


def run_sql(statement, values=()):
    with transaction.atomic(), connection.cursor() as cursor:
        cursor.execute(statement, values)
