"""How pure many batches count as, in as many questions as for one."""

from inventory.models import Batch

from . import evidence


def fractions_of(batches):
    """Return {batch key: how pure it counts as, or None when nobody says}.

    The fraction that `evidence.purity_of` gives for each, in three questions a
    generation for all of them together.
    """
    own, above = {}, {}
    asking = set(batches)
    while asking:
        assays = evidence.newest_assays(asking)
        for batch in Batch.objects.filter(pk__in=asking):
            said = evidence.stated(batch, assays.get(batch.pk))
            own[batch.pk] = said.fraction if said else None
        silent = [key for key in asking if own[key] is None]
        links = Batch.parents.through.objects.filter(from_batch__in=silent)
        for child, parent in links.values_list("from_batch", "to_batch"):
            above.setdefault(child, set()).add(parent)
        asking = set().union(*(above.get(key, ()) for key in silent)) - own.keys()
    return {key: lowest(key, own, above) for key in batches}


def lowest(key, own, above):
    """Return what is stated for a batch, else the lowest above it, else None."""
    stated, asking, seen = [], [key], set()
    while asking:
        at = asking.pop()
        if at in seen:
            continue
        seen.add(at)
        if own[at] is None:
            asking += above.get(at, ())
        else:
            stated.append(own[at])
    return min(stated, default=None)
