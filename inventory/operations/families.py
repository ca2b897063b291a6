"""Which batches a metal came from and went into: no batch is its own ancestor."""

from dataclasses import dataclass, field

from inventory.calc.stoichiometry import METALS_OF
from inventory.models import Batch, BatchKind, Material, Process

from .errors import OperationError

# What is shown of a family: so many generations either way, so many batches in each.
GENERATIONS = 4
MOST_IN_ONE = 8

Link = Batch.parents.through
CHILD, PARENT = "from_batch_id", "to_batch_id"


@dataclass(frozen=True, slots=True)
class Family:
    """A batch's ancestors and descendants, and who came from whom.

    `batches` are by key, each from `with_held`; `links` are (parent, child) keys.
    `older` and `younger` are how many of the next batches either way are left out.
    """

    batch: Batch
    batches: dict[int, Batch]
    links: list[tuple[int, int]] = field(default_factory=list)
    older: int = 0
    younger: int = 0

    def parents_of(self, key):
        return [parent for parent, child in self.links if child == key]

    def children_of(self, key):
        return [child for parent, child in self.links if parent == key]


def lock():
    """Hold all families against other changes: a loop may close far from here.

    Metals are locked, in order: an alloy's family spans several, and a batch is
    recorded under the lock of its own.
    """
    rows = Material.objects.select_for_update(of=("self",), no_key=True)
    return list(rows.order_by("pk"))


def refuse(material, facts, parents):
    """Refuse parents that a batch of this kind and metal cannot come from."""
    kind = facts["kind"]
    if kind in (BatchKind.REPURIFIED, BatchKind.COMBINED) and not parents:
        raise OperationError("Say which batches it was made from.", "parents")
    if kind == BatchKind.BOUGHT and parents:
        raise OperationError(
            "A bought batch comes from its supplier, not from batches here.", "parents"
        )
    for parent in parents:
        if not may_come_from(material, parent.material, facts):
            raise OperationError(
                f"{parent} is {parent.material.name}, which does not become "
                f"{material.name}. A reagent that was used up is a charge.",
                "parents",
            )


def may_come_from(material, source, facts):
    """Return whether the metal may come from a batch of `source`.

    An alloy is put together from its metals; it gives each of them when it is
    taken apart, as when potassium is distilled out of it.
    """
    if material.pk == source.pk:
        return True
    made, given = metals(material), metals(source)
    if facts["kind"] == BatchKind.COMBINED or facts.get("process") == Process.ALLOYING:
        return given < made
    return made < given


def metals(material):
    return set(METALS_OF.get(material.symbol, (material.symbol,)))


def refuse_loop(batch, parents):
    """Refuse parents that `batch` itself went into. Call it with families locked."""
    if batch in parents:
        raise OperationError(f"{batch} cannot be made from itself.", "parents")
    if way := way_back(batch, [parent.pk for parent in parents]):
        codes = Batch.objects.in_bulk([batch.pk, *way])
        loop = " came from ".join(str(codes[key]) for key in [batch.pk, *way, batch.pk])
        raise OperationError(f"This would be a loop: {loop}.", "parents")


def way_back(batch, parents):
    """Return the keys of ancestors that lead from `parents` to `batch`, or None."""
    came_by = dict.fromkeys(parents)
    frontier = list(parents)
    while frontier:
        found = Link.objects.filter(from_batch__in=frontier)
        frontier = []
        for child, parent in found.values_list(CHILD, PARENT).order_by("pk"):
            if parent == batch.pk:
                return back_through(came_by, child)
            if parent not in came_by:
                came_by[parent] = child
                frontier.append(parent)
    return None


def back_through(came_by, key):
    """Return the way that led to `key`, from its beginning."""
    way = [key]
    while came_by[way[0]] is not None:
        way.insert(0, came_by[way[0]])
    return way


def of(batch):
    """Return the Family of a batch: a fixed number of questions to the database."""
    above, older = walk(batch, CHILD, PARENT)
    below, younger = walk(batch, PARENT, CHILD)
    keys = {batch.pk, *above, *below}
    rows = Batch.objects.filter(pk__in=keys).select_related("material").with_held()
    links = Link.objects.filter(from_batch__in=keys, to_batch__in=keys)
    return Family(
        batch=batch,
        batches={row.pk: row for row in rows},
        links=list(links.order_by("pk").values_list(PARENT, CHILD)),
        older=older,
        younger=younger,
    )


def walk(batch, near, far):
    """Return the keys of a few generations one way, and how many more come next."""
    seen, frontier, left_out = {batch.pk}, [batch.pk], set()
    for generation in range(GENERATIONS + 1):
        if not frontier:
            break
        links = Link.objects.filter(**{f"{near}__in": frontier})
        new = sorted(set(links.values_list(far, flat=True)) - seen)
        room = MOST_IN_ONE if generation < GENERATIONS else 0
        frontier = new[:room]
        seen.update(frontier)
        left_out.update(new[room:])
    return seen - {batch.pk}, len(left_out - seen)
