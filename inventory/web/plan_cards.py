"""Plans side by side, as a page shows them."""

from collections import Counter
from dataclasses import dataclass, field

from django.utils import timezone

from inventory.calc.units import show_mass
from inventory.models import HandOverLine, Medium, MetalRequest, Vessel
from inventory.operations import inspections
from inventory.operations.bookings import usual_end
from inventory.operations.reserving import Seen

from . import chances, plan_words, story
from .contents import drawing
from .forms.planning import ReserveForm, sealed
from .plan_words import counted


@dataclass(frozen=True, slots=True)
class Row:
    """One vessel of a plan, and what it gives to one request.

    `pin` (empty if it is pinned) and `leave_out` are the addresses that plan again.
    """

    take: object
    vessel: Vessel
    figure: dict
    opens: str
    left_ug: int
    chance: str
    why: list[str]
    ageing: tuple | None
    is_doubted: bool
    was_out: bool
    purity: float
    differs: bool
    pin: str
    leave_out: str

    @property
    def drawn_empty(self):
        """Whether it is to give all it holds, and nothing is to stay in the glass."""
        return not self.take.is_whole and not self.left_ug


@dataclass(frozen=True, slots=True)
class Part:
    """What one request gets in a plan. `lacks` is (how much, why), or None."""

    request: MetalRequest
    rows: list[Row]
    lacks: tuple[str, str] | None

    @property
    def told(self):
        """What is told of it, for telling whether another plan tells the same."""
        rows = [(*take_key(r.take), r.left_ug, r.opens, r.chance) for r in self.rows]
        return self.lacks, tuple(rows)


@dataclass(slots=True)
class Card:
    """One plan. `idle` are its unused pins, (vessel, why).

    `marks` are (label, value, whether it differs from another plan's).
    """

    number: int
    title: str
    also: list[str]
    plan: object
    parts: list[Part]
    solved: str
    form: ReserveForm
    idle: list[tuple]
    marks: list[tuple] = field(default_factory=list)


def cards(proposal, requests, choice, *, named, facts, sent):
    """Return a Card for each plan, and the Parts that are the same in several plans.

    `named` are the vessels that the address names, by key; `sent` is the form, which
    stands in its own card again if it was refused.
    """
    media = dict(Medium.objects.values_list("key", "name"))
    often = Counter(take_key(take) for plan in proposal.plans for take in plan.takes)
    common = {key for key, times in often.items() if times == len(proposal.plans)}
    doubted = set(inspections.doubted().values_list("vessel", flat=True))
    taken = {take.candidate for plan in proposal.plans for take in plan.takes}
    was_out = HandOverLine.objects.filter(vessel__in=taken)
    returned = set(was_out.values_list("vessel", flat=True))
    drawn = Drawn(proposal, choice, facts, common, media, doubted, returned)
    found = [
        Card(
            number=number,
            title=plan_words.TITLES[plan.aim],
            also=[plan_words.TITLES[aim].lower() for aim in plan.also],
            plan=plan,
            parts=drawn.parts(plan, requests),
            solved=plan_words.solved(plan),
            form=form_of(number, plan, proposal, requests, sent),
            idle=[
                (named[pin.candidate], plan_words.IDLE[pin.reason])
                for pin in plan.unused_pins
                if pin.candidate in named
            ],
        )
        for number, plan in enumerate(proposal.plans, 1)
    ]
    compare(found)
    return found, apart(found)


def compare(found):
    """Give each card its marks."""
    told = [marks(card) for card in found]
    for card, own in zip(found, told, strict=True):
        card.marks = [
            (label, value, any(other[label] != value for other in told))
            for label, value in own.items()
        ]


def apart(found):
    """Take the parts that are the same in all of several plans out, and return them."""
    if len(found) < 2:
        return []
    parts = zip(*(card.parts for card in found), strict=True)
    same = [each[0] for each in parts if len({part.told for part in each}) == 1]
    keys = {part.request.pk for part in same}
    for card in found:
        card.parts = [part for part in card.parts if part.request.pk not in keys]
    return same


def take_key(take):
    return take.candidate, take.demand, take.mass_ug, take.is_whole


def marks(card):
    """Return {label: value} of what plans are compared by."""
    plan = card.plan
    gone = [row.vessel for part in card.parts for row in part.rows]
    return {
        "Opens": counted(len(plan.opened)),
        "Left over": show_mass(plan.left_over_ug) if plan.left_over_ug else "nothing",
        "Uses": counted(len({vessel.pk for vessel in gone})),
    }


def form_of(number, plan, proposal, requests, sent):
    """Return the form that reserves a plan: the refused one if it is of this plan."""
    if sent.takes and [*map(take_key, sent.takes)] == [*map(take_key, plan.takes)]:
        return sent
    vessels = dict.fromkeys(take.candidate for take in plan.takes)
    served = dict.fromkeys(take.demand for take in plan.takes)
    seen = Seen(
        tuple(proposal.candidates[key] for key in vessels),
        tuple(proposal.demands[key] for key in served),
    )
    ends = [
        usual_end(request.project, max(timezone.localdate(), request.needed_by))
        for request in requests
    ]
    return ReserveForm(
        initial={"plan": sealed(plan.takes, seen), "expires_on": max(ends)},
        auto_id=f"plan-{number}-%s",
    )


@dataclass(frozen=True, slots=True)
class Drawn:
    """What the rows of all plans are drawn from."""

    proposal: object
    choice: object
    facts: object
    common: set
    media: dict
    doubted: set
    returned: set

    def parts(self, plan, requests):
        """Return what each request gets that still misses something."""
        lacking = {missing.demand: missing for missing in plan.missing}
        return [
            Part(
                request=request,
                rows=[
                    self.row(plan, take)
                    for take in plan.takes
                    if take.demand == request.pk
                ],
                lacks=self.lacks(request, lacking.get(request.pk)),
            )
            for request in requests
            if request.pk in self.proposal.demands
        ]

    def lacks(self, request, missing):
        if missing is None:
            return None
        demand = self.proposal.demands[request.pk]
        much = show_mass(missing.missing_ug)
        if demand.is_counted:
            much = counted(missing.missing_vessels)
        metal = request.material.name
        return much, plan_words.lack(missing, demand, metal, self.media)

    def row(self, plan, take):
        vessel, choice = self.proposal.vessels[take.candidate], self.choice
        given = sum(t.mass_ug for t in plan.takes if t.candidate == vessel.pk)
        return Row(
            take=take,
            vessel=vessel,
            figure=drawing(vessel, self.facts, size="small"),
            opens=opens(vessel) if vessel.pk in plan.opened else "",
            left_ug=vessel.remaining_ug - given,
            chance=chance(vessel, take, given),
            why=[plan_words.WHY[why] for why in take.why],
            ageing=None if take.is_whole else story.age(vessel),
            is_doubted=vessel.pk in self.doubted,
            was_out=vessel.pk in self.returned,
            purity=self.proposal.candidates[vessel.pk].purity,
            differs=take_key(take) not in self.common,
            pin="" if vessel.pk in choice.pinned else choice.pin(vessel.pk),
            leave_out=choice.leave_out(vessel.pk),
        )


def opens(vessel):
    return "breaks its seal" if vessel.is_sealed else "opens it"


def chance(vessel, take, given_ug):
    """Say how likely a draw is really there, with all that the plan draws from it.

    Nothing is said of what is drawn empty: it gives what it gives, with its u.
    """
    if take.is_whole or given_ug == vessel.remaining_ug:
        return ""
    promised_ug = vessel.promised_ug + given_ug - take.mass_ug
    return chances.for_vessel(
        vessel, take.mass_ug, heel_ug=vessel.heel_ug, promised_ug=promised_ug
    )[1]
