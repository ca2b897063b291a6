"""What vouches for a batch, asked once each, as in `asked`."""

from inventory.operations import attachments, evidence
from tests.domain.vouched import ASSAYED_ON, found, make_assay, make_attachment
from tests.factories import make_batch
from tests.uploads import sound


def ask_attach():
    return attachments.attach, [make_batch(), sound()], {"kind": "certificate"}


def ask_take_off():
    return attachments.withdraw, [make_attachment(make_batch())], {"reason": "x"}


def ask_record_assay():
    facts = {"method": "ICP-MS", "measured_on": ASSAYED_ON, "purity": 0.999}
    return evidence.record_assay, [make_batch(), facts, found({"Fe": "1 ppm"})], {}


def ask_withdraw_assay():
    return evidence.withdraw_assay, [make_assay(make_batch())], {"reason": "x"}
