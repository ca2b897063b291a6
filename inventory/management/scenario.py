"""An invented laboratory, a few weeks of it, for trying things out.

Everything is recorded by the operations that the pages use. Playing it twice
records nothing twice, because its request ids are made from fixed words.
"""

from datetime import datetime, time, timedelta
from uuid import NAMESPACE_OID, uuid5

from django.utils import timezone

from inventory.models import (
    Balance,
    HazardProfile,
    Laboratory,
    Material,
    Medium,
    MemberRole,
    Place,
    User,
)
from inventory.operations import (
    batches,
    bookings,
    checking,
    filling,
    ledger,
    partners,
    people,
    projects,
    register,
    shares,
    taking,
    vessels,
)

PASSWORD = "sealed-under-argon"
PEOPLE = {
    "keeper": "does everything",
    "operator": "weighs, fills, withdraws, prints labels",
    "partner": "sees the projects they share",
    "reader": "sees everything inside, changes nothing",
}
G = 1_000_000
ML = 1_000


def request_id(words):
    return uuid5(NAMESPACE_OID, f"tarebook demo {words}")


def at(days_ago, hour=10):
    """Return that many days before today, on the hour, but never in the future."""
    day = timezone.localdate() - timedelta(days=days_ago)
    moment = timezone.make_aware(datetime.combine(day, time(hour)))
    return min(moment, timezone.now())


class Scene:
    """The people and things that every act of the scenario uses."""

    def __init__(self):
        for username in PEOPLE:
            people.add(
                username=username,
                role=username,
                password=PASSWORD,
                by=None,
                request_id=request_id(f"person {username}"),
            )
        self.keeper = User.objects.get(username="keeper")
        self.operator = User.objects.get(username="operator")
        self.media = {medium.key: medium for medium in Medium.objects.all()}
        self.add(
            Laboratory,
            name="Inorganic Materials Laboratory",
            address="Building 4, Example Street 1, 00000 Example Town",
            phone="+00 0000 000000",
        )
        room = self.add(Place, name="Room 312", kind="room", warmest_c=32.0)
        self.box = self.add(
            Place, name="Glovebox A", kind="glovebox", within=room, warmest_c=30.0
        )
        self.cabinet = self.add(
            Place,
            name="Cabinet for water-reactives",
            kind="cabinet",
            within=room,
            warmest_c=32.0,
        )
        self.shelf = self.add(
            Place,
            name="Cabinet, shelf 2",
            kind="shelf",
            within=self.cabinet,
            warmest_c=32.0,
        )
        self.fine = self.add(
            Balance,
            name="Analytical balance",
            readability_ug=100,
            repeatability_ug=150,
            nonlinearity_ug=200,
            capacity_ug=220 * G,
            drift_ppm=1.5,
            due_on=timezone.localdate() + timedelta(days=160),
            certificate="C-2026-118",
        )
        self.coarse = self.add(
            Balance,
            name="Top-pan balance",
            readability_ug=1000,
            repeatability_ug=1000,
            nonlinearity_ug=2000,
            capacity_ug=2200 * G,
            drift_ppm=3.0,
            due_on=timezone.localdate() + timedelta(days=75),
            certificate="C-2026-117",
        )

    def add(self, model, **facts):
        return register.add(
            model,
            facts,
            by=self.keeper,
            request_id=request_id(f"{model.__name__} {facts['name']}"),
        )

    def batch(self, symbol, days_ago, *, form=None, parents=(), **facts):
        material = Material.objects.get(symbol=symbol)
        hazard = HazardProfile.objects.filter(material=material, form=form).first()
        words = f"batch {symbol} {facts.get('route')} {facts.get('lot')}"
        return batches.record(
            material=material,
            facts={"made_on": at(days_ago).date(), "hazard": hazard, **facts},
            parents=parents,
            by=self.operator,
            request_id=request_id(words),
        )

    def charge(self, batch, formula, role, grams, purity, lot):
        batches.charge(
            batch,
            formula=formula,
            role=role,
            mass_ug=round(grams * G),
            u_ug=2000,
            purity=purity,
            lot=lot,
            by=self.operator,
            request_id=request_id(f"charge {batch} {formula}"),
        )

    def reading(self, grams, balance, when, gas, liquid_g=0.0):
        """Return an observation rounded to what the balance shows."""
        step = balance.readability_ug
        return vessels.Observation(
            reading_ug=round(grams * G / step) * step,
            balance=balance,
            read_at=when,
            gas=self.media[gas],
            liquid_ug=round(liquid_g * G),
            air_temperature_c=21.5,
            air_pressure_pa=101_000.0,
            air_humidity=0.42,
        )

    def tare(self, batch, kind, capacity_ml, tares, balance, days_ago, gas="air"):
        return vessels.tare(
            [
                vessels.Empty(
                    kind=kind,
                    capacity_ul=round(capacity_ml * ML),
                    tare=self.reading(grams, balance, at(days_ago, 8), gas),
                )
                for grams in tares
            ],
            batch=batch,
            place=self.box,
            by=self.operator,
            request_id=request_id(f"tare {batch}"),
        )

    def fill(self, vessel, batch, medium, closure, *, gross=None, stated=None,
             gas=None, place=None, balance=None, days_ago=0, liquid_g=0.0):  # fmt: skip
        when = at(days_ago, 15)
        gas = gas or medium
        filling.fill(
            vessel,
            filling.Filling(
                batch=batch,
                medium=self.media[medium],
                gas=self.media[gas],
                closure=closure,
                place=place or self.cabinet,
                gross=gross
                and self.reading(gross, balance or self.fine, when, gas, liquid_g),
                stated_ug=stated and round(stated * G),
                u_stated_ug=round((stated or 0) * G * 0.01),
                accept_medium=True,
            ),
            happened_at=when,
            by=self.operator,
            request_id=request_id(f"fill {vessel}"),
        )

    def draw(self, vessel, how, purpose, days_ago, *, line=None, settle=True):
        ledger.withdraw(
            vessel,
            how,
            purpose=purpose,
            happened_at=at(days_ago, 11),
            line=line,
            settle=settle,
            by=self.operator,
            request_id=request_id(f"draw {vessel} {purpose}"),
        )

    def check(
        self, vessel, grams, days_ago, balance, *, liquid_g=0.0, cause="", reason=""
    ):
        vessel.refresh_from_db()
        seen = self.reading(grams, balance, at(days_ago, 9), vessel.gas.key, liquid_g)
        checking.check(
            vessel,
            seen,
            cause=cause,
            reason=reason,
            by=self.operator,
            request_id=request_id(f"check {vessel} {days_ago}"),
        )

    def weighed(self, vessel, before, after, days_ago, *, balance, liquid_g=0.0):
        when, gas = at(days_ago, 11), vessel.gas.key
        return taking.Weighed(
            before=self.reading(before, balance, when, gas, liquid_g),
            after=self.reading(after, balance, when, gas, liquid_g),
        )

    def start(self, title, partner, purpose, members):
        house = [projects.Member(self.keeper, MemberRole.LEAD)]
        theirs = [projects.Member(user, MemberRole.ASKS, partner) for user in members]
        return projects.start(
            facts={
                "title": title,
                "purpose": purpose,
                "starts_on": at(120).date(),
                "ends_on": timezone.localdate() + timedelta(days=240),
            },
            partners=[partner],
            members=[*house, *theirs],
            by=self.keeper,
            request_id=request_id(f"project {title}"),
        )

    def partner(self, name):
        return partners.add(
            {"name": name}, by=self.keeper, request_id=request_id(f"partner {name}")
        )

    def share(self, project, symbol, **facts):
        blank = {"mass_ug": None, "vessel_count": None, "smallest_purity": None}
        return shares.set_share(
            project,
            project.partners.get(),
            Material.objects.get(symbol=symbol),
            facts=blank | {"note": ""} | facts,
            by=self.keeper,
            request_id=request_id(f"share {project} {symbol}"),
        )

    def book(self, project, wishes, purpose, in_days):
        return bookings.book(
            project,
            wishes=wishes,
            partner=project.partners.get(),
            purpose=purpose,
            needed_by=timezone.localdate() + timedelta(days=in_days),
            by=self.keeper,
            request_id=request_id(f"booking {purpose}"),
        )
