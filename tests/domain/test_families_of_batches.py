"""Where a metal came from and went: families of batches never close a loop."""

from uuid import uuid4

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from hypothesis import given, settings
from hypothesis import strategies as st

from inventory.models import Batch, Material
from inventory.operations import batches, families
from inventory.operations.errors import OperationError
from tests.domain.closed import close, make_filled, reopen
from tests.domain.records import refused
from tests.factories import make_batch, signed, somebody

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("shipped")]

DISTILLED = {"kind": "repurified", "process": "distillation"}


def facts_of(batch, **changed):
    names = ("kind", "process", "made_on", "hazard", "route", "lot", "purity", "note")
    return {name: getattr(batch, name) for name in names} | changed


def put_under(batch, *parents, **changed):
    """Say what a batch was made from, after it was recorded."""
    return batches.change(
        batch, facts_of(batch, **changed), parents=parents, **signed()
    )


def chain(length):
    """Return so many batches, each made from the one before it."""
    made = [make_batch("Rb")]
    for _ in range(length - 1):
        made.append(make_batch("Rb", **DISTILLED, parents=made[-1:]))
    return made


def codes(keys):
    return sorted(Batch.objects.filter(pk__in=keys).values_list("code", flat=True))


def test_parents_can_be_named_and_taken_back_later():
    old, new = make_batch("Rb"), make_batch("Rb")

    put_under(new, old)
    assert list(new.parents.all()) == [old]
    assert new.entries.first().summary == (
        f"Changed the notes on batch {new}: made from {old}"
    )

    put_under(new)
    assert not new.parents.exists()
    assert new.entries.first().summary.endswith("made from no other batch")


def test_a_change_that_says_nothing_of_parents_leaves_them():
    old, new = chain(2)

    batches.change(new, facts_of(new, note="the tail"), **signed())

    assert list(new.parents.all()) == [old]
    assert new.entries.first().summary == f"Changed the notes on batch {new}"


def test_a_batch_is_not_made_from_itself():
    batch, who = make_batch("Rb"), signed()

    with refused(f"{batch} cannot be made from itself.", "parents"):
        batches.change(batch, facts_of(batch), parents=[batch], **who)


def test_a_batch_is_not_made_from_what_it_went_into():
    first, second = chain(2)
    who = signed()

    with refused(
        f"This would be a loop: {first} came from {second} came from {first}.",
        "parents",
    ):
        batches.change(first, facts_of(first), parents=[second], **who)


def test_a_loop_through_grandparents_is_refused_and_named():
    made = chain(4)
    who, first = signed(), made[0]
    way = " came from ".join(str(each) for each in [first, *made[::-1]])

    with refused(f"This would be a loop: {way}.", "parents"):
        batches.change(first, facts_of(first), parents=made[-1:], **who)


def test_two_ways_to_one_ancestor_are_no_loop():
    first, second = chain(2)
    third = make_batch("Rb", kind="combined", parents=[first, second])

    assert set(third.parents.all()) == {first, second}


@settings(max_examples=25, deadline=None)
@given(
    links=st.lists(
        st.tuples(st.integers(0, 5), st.integers(0, 5)), min_size=1, max_size=12
    )
)
def test_whatever_is_tried_no_batch_becomes_its_own_ancestor(links):
    # Against the plain definition: a link closes a loop exactly when there is a way
    # back already, found here by walking all of them.
    batches_of_it = [make_batch("Rb") for _ in range(6)]
    parents = {n: set() for n in range(6)}

    def reaches(start, goal):
        return start == goal or any(reaches(up, goal) for up in parents[start])

    for child, parent in links:
        wanted = [batches_of_it[n] for n in parents[child] | {parent}]
        closes = reaches(parent, child)
        try:
            put_under(batches_of_it[child], *wanted)
        except OperationError:
            assert closes
        else:
            assert not closes
            parents[child].add(parent)

    for n, batch in enumerate(batches_of_it):
        found = {batches_of_it.index(each) for each in batch.parents.all()}
        assert found == parents[n]


def record(symbol, parents, **facts):
    who = {"by": somebody(), "request_id": uuid4()}
    return batches.record(
        material=Material.objects.get(symbol=symbol),
        facts={"made_on": parents[0].made_on, **facts},
        parents=parents,
        **who,
    )


@pytest.mark.parametrize(
    ("symbol", "facts", "parents"),
    [
        ("NaK", {"kind": "combined"}, ["Na", "K"]),
        ("NaK", {"kind": "combined"}, ["NaK", "K"]),
        ("NaK", {"kind": "made", "process": "alloying"}, ["Na", "K"]),
        ("K", DISTILLED, ["NaK"]),
        ("K", {"kind": "made", "process": "distillation"}, ["NaK"]),
        ("Rb", {"kind": "combined"}, ["Rb", "Rb"]),
    ],
)
def test_an_alloy_comes_from_its_metals_and_gives_each_of_them(symbol, facts, parents):
    made = record(symbol, [make_batch(each) for each in parents], **facts)

    assert made.parents.count() == len(parents)


@pytest.mark.parametrize(
    ("symbol", "facts", "parent"),
    [
        ("Rb", {"kind": "combined"}, "Cs"),
        ("Rb", DISTILLED, "K"),
        ("K", {"kind": "combined"}, "NaK"),
        ("NaK", DISTILLED, "K"),
        ("NaK", {"kind": "made", "process": "reduction"}, "Na"),
    ],
)
def test_one_metal_does_not_become_another(symbol, facts, parent):
    source = make_batch(parent)
    material = Material.objects.get(symbol=symbol)

    with refused(
        f"{source} is {source.material.name}, which does not become {material.name}. "
        "A reagent that was used up is a charge.",
        "parents",
    ):
        record(symbol, [source], **facts)


def test_a_bought_batch_has_no_parents_here():
    source = make_batch("Rb")

    with refused(
        "A bought batch comes from its supplier, not from batches here.", "parents"
    ):
        record("Rb", [source], kind="bought")


@pytest.mark.parametrize("kind", ["repurified", "combined"])
def test_what_was_made_from_batches_says_which(kind):
    who = signed()
    facts = {"kind": kind, "process": "distillation", "made_on": make_batch().made_on}

    with refused("Say which batches it was made from.", "parents"):
        batches.record(material=Material.objects.get(symbol="Rb"), facts=facts, **who)


@pytest.mark.parametrize("kind", ["made", "repurified"])
def test_what_was_made_here_says_how(kind):
    source = make_batch("Rb")

    with refused(
        "Say how it was made: batches of one process are compared.", "process"
    ):
        record("Rb", [source], kind=kind)


def test_the_parents_of_a_closed_batch_stay_until_it_is_reopened():
    old, new = make_batch("Rb"), make_filled(5_000_000)
    close(new)

    with pytest.raises(OperationError, match="is closed") as refusal:
        put_under(new, old)
    assert refusal.value.field == "parents"
    put_under(new, note="the notes may change")

    reopen(new)
    put_under(new, old)
    assert list(new.parents.all()) == [old]


def test_a_family_is_ancestors_and_descendants_and_nobody_beside():
    made = chain(5)
    cousin = make_batch("Rb", **DISTILLED, parents=made[:1])

    found = families.of(made[2])

    assert codes(found.batches) == codes(each.pk for each in made)
    assert cousin.pk not in found.batches
    assert found.parents_of(made[2].pk) == [made[1].pk]
    assert found.children_of(made[2].pk) == [made[3].pk]
    assert (found.older, found.younger) == (0, 0)


def test_a_family_is_shown_a_few_generations_deep_and_says_what_is_left_out():
    made = chain(2 * families.GENERATIONS + 3)
    middle = made[families.GENERATIONS + 1]

    found = families.of(middle)

    assert codes(found.batches) == codes(each.pk for each in made[1:-1])
    assert (found.older, found.younger) == (1, 1)


def test_a_family_is_shown_a_few_batches_wide_and_says_what_is_left_out():
    first = make_batch("Rb")
    for _ in range(families.MOST_IN_ONE + 3):
        make_batch("Rb", **DISTILLED, parents=[first])

    found = families.of(first)

    assert len(found.batches) == 1 + families.MOST_IN_ONE
    assert found.younger == 3


def questions(batch):
    with CaptureQueriesContext(connection) as asked:
        families.of(batch)
    return len(asked)


def test_a_family_costs_the_same_questions_however_wide():
    _, second, third, _ = chain(4)
    before = questions(second)

    for _ in range(4):
        put_under(second, *second.parents.all(), make_batch("Rb"), kind="combined")
        make_batch("Rb", **DISTILLED, parents=[second])
        make_batch("Rb", **DISTILLED, parents=[third])

    assert len(families.of(second).batches) == 4 + 4 + 4 + 4
    assert questions(second) == before
