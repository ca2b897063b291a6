"""The catalogue: loaded from the data files, and this laboratory's own values."""

import csv
from pathlib import Path
from uuid import uuid4

from django.db import transaction

from inventory.models import (
    HazardProfile,
    Material,
    Medium,
    MediumHazard,
    MediumRule,
    Property,
)

from . import log

FOLDER = Path(__file__).resolve().parents[1] / "catalogue"
IDENTITY = {"name", "cas", "kind"}
# The log's verbs for a changed classification; labels ask for them.
HAZARDS_CHANGED = {
    HazardProfile: "material-hazards-change",
    MediumHazard: "medium-hazards-change",
}


def rows(name):
    """Yield the rows of a catalogue file as dictionaries."""
    with (FOLDER / name).open(encoding="utf-8", newline="") as file:
        yield from csv.DictReader(file)


@transaction.atomic
def load():
    """Load the shipped catalogue; own values stay. Loading twice changes nothing."""
    materials = load_holders(Material, "symbol", "materials.csv")
    media = load_holders(Medium, "key", "media.csv")
    MediumRule.objects.bulk_create(
        [
            MediumRule(
                material=materials[row["material"]],
                medium=media[row["medium"]],
                verdict=row["verdict"],
                reason=row["reason"],
                source=row["source"],
            )
            for row in rows("medium_rules.csv")
        ],
        update_conflicts=True,
        unique_fields=["material", "medium"],
        update_fields=["verdict", "reason", "source"],
    )
    for row in rows("hazards.csv"):
        material = materials[row.pop("material")]
        load_hazards(
            HazardProfile, {"material": material, "form": row.pop("form")}, row
        )
    for row in rows("medium_hazards.csv"):
        load_hazards(MediumHazard, {"medium": media[row.pop("medium")]}, row)


def load_hazards(model, key, facts):
    """Load one classification; a change is logged, for it dates printed labels."""
    record, created = model.objects.get_or_create(**key, defaults=facts)
    if created or all(getattr(record, name) == v for name, v in facts.items()):
        return
    for name, value in facts.items():
        setattr(record, name, value)
    record.save()
    log.write(
        HAZARDS_CHANGED[model],
        f"The catalogue now gives other hazards for {next(iter(key.values()))}",
        by=None,
        request_id=uuid4(),
        subject_id=record.pk,
    )


def load_holders(model, key, file_name):
    """Load materials or media with their properties; return {key: record}."""
    facts, numbers = {}, []
    for row in rows(file_name):
        holder = facts.setdefault(row[key], {})
        if row["property"] in IDENTITY:
            holder[row["property"]] = row["value"]
        else:
            numbers.append(row)
    records = {
        name: model.objects.update_or_create(**{key: name}, defaults=values)[0]
        for name, values in facts.items()
    }
    load_numbers(model.__name__.lower(), records, numbers, key)
    return records


def load_numbers(holder_field, records, numbers, key):
    """Add a shipped value where the newest shipped one is another."""
    shipped = Property.objects.filter(
        is_own=False, **{f"{holder_field}__isnull": False}
    )
    newest = {(getattr(p, f"{holder_field}_id"), p.name): p for p in shipped}
    new = []
    for row in numbers:
        record = records[row[key]]
        facts = {
            "value": float(row["value"]),
            "uncertainty": float(row["uncertainty"]) if row["uncertainty"] else None,
            "unit": row["unit"],
            "source": row["source"],
            "confidence": row["confidence"],
        }
        known = newest.get((record.pk, row["property"]))
        if known and all(getattr(known, name) == v for name, v in facts.items()):
            continue
        new.append(Property(**{holder_field: record}, name=row["property"], **facts))
    Property.objects.bulk_create(new)


@log.operation
def set_property(shipped, *, value, uncertainty, source, by, request_id):
    """Put this laboratory's own value before the `shipped` one, and return its row.

    A `value` of None gives the shipped value back.
    """
    if earlier := log.repeated(request_id):
        return earlier.properties.get()
    holder = shipped.material or shipped.medium
    said = f"{value} {shipped.unit}" if value is not None else "the shipped value"
    entry = log.write(
        "property-set",
        f"{holder}: {shipped.get_name_display().lower()} is now {said}",
        by=by,
        request_id=request_id,
    )
    return Property.objects.create(
        material=shipped.material,
        medium=shipped.medium,
        name=shipped.name,
        value=value,
        uncertainty=uncertainty,
        unit=shipped.unit,
        source=source,
        is_own=True,
        entry=entry,
    )
