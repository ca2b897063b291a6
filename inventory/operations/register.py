"""Places, balances, label sheets, the laboratory: records added and changed."""

from inventory.models import Balance, LabelSheet, Laboratory, Place

from . import log
from .errors import OperationError

WORDS = {
    Place: "place",
    Balance: "balance",
    Laboratory: "laboratory",
    LabelSheet: "sheet",
}


@log.operation
def add(model, facts, *, by, request_id):
    """Add a place, balance, sheet or laboratory with these `facts` and return it."""
    if earlier := log.repeated(request_id):
        return model.objects.get(pk=earlier.subject_id)
    if model is Laboratory:
        # There is one, and its key says so whatever a sequence would give.
        facts = {"pk": 1, **facts}
    record = model.objects.create(**facts)
    log.write(
        f"{WORDS[model]}-add",
        f"Added {WORDS[model]} {record}",
        by=by,
        request_id=request_id,
        subject_id=record.pk,
    )
    return record


@log.operation
def change(record, facts, *, by, request_id):
    """Change a place, balance, sheet or laboratory to these `facts` and return it."""
    model = type(record)
    record = log.lock(model.objects.all(), record.pk)
    if log.repeated(request_id):
        return record
    if model is Place:
        refuse_loop(record, facts.get("within"))
    changed = [name for name, value in facts.items() if getattr(record, name) != value]
    for name in changed:
        setattr(record, name, facts[name])
    record.save(update_fields=changed)
    log.write(
        f"{WORDS[model]}-change",
        f"Changed {WORDS[model]} {record}: {', '.join(changed) or 'nothing'}",
        by=by,
        request_id=request_id,
    )
    return record


def refuse_loop(place, within):
    """Refuse to put a place inside itself, directly or through its parts."""
    while within is not None:
        if within.pk == place.pk:
            raise OperationError(f"{place} cannot stand inside itself.", "within")
        within = within.within
