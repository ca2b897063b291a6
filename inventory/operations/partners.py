"""The organisations that metal is shared with: added and changed."""

from inventory.models import Partner

from . import log
from .errors import OperationError


@log.operation
def add(facts, *, by, request_id):
    """Add an organisation (name, address, email, note) and return it."""
    if earlier := log.repeated(request_id):
        return Partner.objects.get(pk=earlier.subject_id)
    refuse_taken(facts["name"])
    partner = Partner.objects.create(**facts)
    log.write(
        "partner-add",
        f"Added partner {partner}",
        by=by,
        request_id=request_id,
        subject_id=partner.pk,
    )
    return partner


@log.operation
def change(partner, facts, *, by, request_id):
    """Change an organisation to these `facts` and return it."""
    partner = log.lock(Partner.objects.all(), partner.pk)
    if log.repeated(request_id):
        return partner
    refuse_taken(facts["name"], apart_from=partner)
    changed = [name for name, value in facts.items() if getattr(partner, name) != value]
    for name in changed:
        setattr(partner, name, facts[name])
    partner.save(update_fields=changed)
    log.write(
        "partner-change",
        f"Changed partner {partner}: {', '.join(changed) or 'nothing'}",
        by=by,
        request_id=request_id,
        subject_id=partner.pk,
    )
    return partner


def refuse_taken(name, apart_from=None):
    """Refuse a name that another organisation has, whatever its capitals."""
    others = Partner.objects.filter(name__iexact=name)
    if apart_from:
        others = others.exclude(pk=apart_from.pk)
    if others.exists():
        raise OperationError("There is a partner of this name.", "name")
