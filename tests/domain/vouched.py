"""Batches with an assay or a file, in one line."""

from pathlib import Path

from django.utils import timezone

from inventory.calc import purity
from inventory.operations import attachments, evidence
from inventory.operations.attachments import STORAGE
from tests.factories import signed
from tests.uploads import sound

ASSAYED_ON = timezone.localdate()


def found(contents):
    """Return the Found of {"Fe": "12 mg/kg"}."""
    return [
        evidence.Found(species, purity.parse_content(text), f"form-{row}")
        for row, (species, text) in enumerate(contents.items())
    ]


def make_assay(batch, impurities=(), **facts):
    facts = {"method": "ICP-MS", "measured_on": ASSAYED_ON, "purity": 0.999, **facts}
    return evidence.record_assay(batch, facts, found(dict(impurities)), **signed())


def make_attachment(batch, file=None, **facts):
    """Keep a file with a batch: a certificate, unless `file` is another Sound."""
    facts = {"kind": "certificate", **facts}
    return attachments.attach(batch, file or sound(), **facts, **signed())


def kept_files():
    """Return the names of all files that are kept, as the records have them."""
    folder = Path(STORAGE.location)
    paths = [path for path in folder.rglob("*") if path.is_file()]
    return {str(path.relative_to(folder)) for path in paths}
