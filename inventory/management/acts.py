"""What happens in the invented laboratory, metal by metal."""

from django.db import transaction

from inventory.models import BookingLine, User
from inventory.operations import filling, taking, vessels

from . import lending, making, running, vouching, wishes
from .scenario import ML, G, Scene, at, request_id


@transaction.atomic
def play():
    """Play the whole scenario; what was played before is left as it is."""
    scene = Scene()
    rubidium = act_rubidium(scene)
    running.play(scene, rubidium[0].batch)
    making.play(scene, rubidium[0].batch)
    potassium = act_potassium(scene)
    alloy = act_alloy(scene, potassium)
    act_lithium(scene)
    barium = act_received(
        scene, "Ba", "Supplier A, under argon", "BA-0713", 0.992, 3, 10, 5.0, 40
    )
    caesium = act_received(
        scene, "Cs", "Supplier B, sealed under vacuum", "C-5518", 0.9998, 2, 2, 1.0, 50
    )
    act_sharing(scene, rubidium, alloy, barium)
    wishes.play(scene, "Getter films at low temperature")
    lending.play(scene, "Alkali clusters in zeolites", caesium, barium, alloy)
    vouching.play(scene, rubidium[0].batch, barium[0].batch)


def act_rubidium(scene):
    """Rubidium by calcium reduction of the chloride, distilled into ampoules."""
    batch = scene.batch(
        "Rb",
        46,
        form="massive",
        kind="made",
        process="reduction",
        route="calcium reduction of the chloride, distilled at 0.02 mbar",
        purity=0.998,
        note="Condenser at 60 °C. The last ampoule took the tail of the run.",
    )
    scene.charge(batch, "RbCl", "source", 60.0, 0.998, "R-2207")
    scene.charge(batch, "Ca", "reductant", 14.2, 0.99, "G-114")
    tares = [12.8731, 12.9144, 12.7986, 12.9013, 12.8457, 12.9302, 12.8819, 12.7655]
    masses = [4.212, 4.305, 4.187, 4.251, 4.290, 4.118, 4.244, 2.703]
    made = scene.tare(batch, "ampoule", 5, tares, scene.fine, 47)
    for vessel, tare, mass in zip(made, tares, masses, strict=True):
        scene.fill(
            vessel,
            batch,
            "vacuum",
            "flame_sealed",
            gross=tare + mass - 0.006,
            place=scene.shelf,
            days_ago=45,
        )
    scene.draw(made[0], taking.Whole(), "Vapour cell filling, test run", 30)
    return made


def act_potassium(scene):
    """Potassium, cut under oil that was in the bottles before the metal."""
    batch = scene.batch(
        "K",
        80,
        form="massive",
        kind="bought",
        route="Supplier A, sticks under oil, cut here",
        lot="K-3310",
        purity=0.995,
    )
    oil_g = 50.4
    tares = [211.482, 214.905]
    made = vessels.tare(
        [
            vessels.Empty(
                kind="bottle",
                capacity_ul=100 * ML,
                tare=scene.reading(tare, scene.coarse, at(79, 8), "air", oil_g),
            )
            for tare in tares
        ],
        batch=batch,
        place=scene.cabinet,
        by=scene.operator,
        request_id=request_id("tare potassium"),
    )
    for vessel, tare, mass in zip(made, tares, (18.214, 16.877), strict=True):
        scene.fill(
            vessel,
            batch,
            "mineral_oil_light",
            "screw_cap",
            gas="argon",
            gross=tare + mass,
            balance=scene.coarse,
            days_ago=78,
            liquid_g=oil_g,
        )
    first, before = made[0], 211.482 + 18.214
    first.refresh_from_db()
    for days_ago, grams, purpose in (
        (66, 2.310, "Drying a hydrocarbon"),
        (38, 3.125, "Graphite intercalation"),
    ):
        how = scene.weighed(
            first,
            before,
            before - grams,
            days_ago,
            balance=scene.coarse,
            liquid_g=oil_g,
        )
        scene.draw(first, how, purpose, days_ago)
        before -= grams
    scene.check(
        first,
        before - 0.342,
        12,
        scene.coarse,
        liquid_g=oil_g,
        cause="liquid",
        reason="Oil ran off with the last pieces; the cap was wet with it",
    )
    return made


def act_alloy(scene, potassium):
    """Sodium-potassium alloy from its two metals, in a bulb under argon."""
    sodium = scene.batch(
        "Na",
        70,
        form="massive",
        kind="bought",
        route="Supplier A, rods under argon",
        lot="N-0092",
        purity=0.999,
    )
    (bottle,) = scene.tare(sodium, "bottle", 100, [148.233], scene.coarse, 70)
    scene.fill(
        bottle,
        sodium,
        "argon",
        "screw_cap",
        gross=148.233 + 31.55,
        balance=scene.coarse,
        place=scene.box,
        days_ago=69,
    )
    bottle.refresh_from_db()
    how = scene.weighed(bottle, 179.783, 174.803, 21, balance=scene.coarse)
    scene.draw(bottle, how, "Alloyed with potassium, see the NaK batch", 21)
    scene.draw(potassium[1], taking.Whole(), "Alloyed with sodium, see NaK", 21)
    batch = scene.batch(
        "NaK",
        20,
        form="liquid",
        parents=[sodium, potassium[0].batch],
        kind="combined",
        process="alloying",
        route="melted together under argon, filtered through a frit",
    )
    (bulb,) = scene.tare(batch, "bulb", 50, [66.4123], scene.fine, 20)
    scene.fill(
        bulb,
        batch,
        "argon",
        "stopcock",
        gross=66.4123 + 21.318,
        place=scene.box,
        days_ago=20,
    )
    bulb.refresh_from_db()
    return bulb


def act_lithium(scene):
    """Lithium rod under argon, used by weighing the bottle."""
    batch = scene.batch(
        "Li",
        60,
        form="massive",
        kind="bought",
        route="Supplier C, rod under argon",
        lot="L-77",
        purity=0.999,
    )
    (bottle,) = scene.tare(batch, "bottle", 250, [131.902], scene.coarse, 60)
    scene.fill(
        bottle,
        batch,
        "argon",
        "screw_cap",
        gross=131.902 + 24.36,
        balance=scene.coarse,
        place=scene.box,
        days_ago=59,
    )
    bottle.refresh_from_db()
    before = 131.902 + 24.36
    for days_ago, grams, purpose in (
        (41, 1.204, "Butyl lithium titration blank"),
        (17, 3.480, "Ammonia solution reduction"),
        (4, 0.912, "Ternary nitride, trial 2"),
    ):
        how = scene.weighed(
            bottle, before, before - grams, days_ago, balance=scene.coarse
        )
        scene.draw(bottle, how, purpose, days_ago)
        before -= grams
    scene.check(bottle, before + 0.003, 1, scene.coarse)


def act_received(scene, symbol, route, lot, purity, count, ml, grams, days_ago):
    """Sealed ampoules that came with the mass stated on each."""
    batch = scene.batch(
        symbol,
        days_ago,
        form="massive",
        kind="bought",
        route=route,
        lot=lot,
        purity=purity,
    )
    medium = scene.media["argon" if symbol == "Ba" else "vacuum"]
    return filling.receive(
        batch,
        {"kind": "ampoule", "capacity_ul": ml * ML},
        filling.Filling(
            batch=batch,
            medium=medium,
            gas=medium,
            closure="flame_sealed",
            place=scene.shelf,
            stated_ug=round(grams * G),
            u_stated_ug=round(grams * G * 0.01),
        ),
        count=count,
        happened_at=at(days_ago, 14),
        by=scene.operator,
        request_id=request_id(f"receive {symbol}"),
    )


def act_sharing(scene, rubidium, alloy, barium):
    """Two projects with partners, and what is promised to them."""
    partner = User.objects.get(username="partner")
    getters = scene.start(
        "Getter films at low temperature",
        scene.partner("Thin-film group, partner university"),
        "Evaporated barium and rubidium films as getters for cold traps.",
        [partner],
    )
    clusters = scene.start(
        "Alkali clusters in zeolites",
        scene.partner("Porous materials group, partner institute"),
        "Loading zeolites from the vapour, and from liquid alloy.",
        [],
    )
    scene.share(getters, "Rb", mass_ug=20 * G, smallest_purity=0.99)
    scene.share(getters, "Ba", vessel_count=2)
    scene.share(clusters, "NaK", mass_ug=25 * G, note="as liquid alloy")
    scene.book(getters, [(rubidium[2], None), (rubidium[3], None)], "Film series 4", 12)
    scene.book(getters, [(barium[0], None)], "Reference films", 5)
    booking = scene.book(clusters, [(alloy, 8 * G)], "Loading from the liquid", 3)
    line = BookingLine.objects.filter(booking=booking).order_by("pk").first()
    scene.draw(
        alloy,
        taking.Drawn(volume_ul=3100, u_volume_ul=25, temperature_c=22.0),
        "First loading",
        2,
        line=line,
        settle=False,
    )
