"""Taking metal out, in one line."""

from inventory.operations import ledger, taking
from tests.factories import ROOM, earlier, expected_reading, observe, signed


def weighed(before_ug, after_ug, **facts):
    facts = {"gas": "argon", **facts}
    return taking.Weighed(observe(before_ug, **facts), observe(after_ug, **facts))


def weighed_out(vessel, taken_ug, *, poured_ug=0, gas=None, off_ug=0, **how):
    """Return a taking of this much by readings that agree with the estimate.

    `poured_ug` of liquid medium goes in with it, `gas` is inside afterwards, and
    both readings are `off_ug` too high.
    """
    before_ug = expected_reading(vessel, **ROOM)
    after_ug = expected_reading(
        vessel, taken_ug=taken_ug, poured_ug=poured_ug, gas=gas, **ROOM
    )
    argon = vessel.gas.key
    return taking.Weighed(
        observe(before_ug + off_ug, gas=argon, **ROOM),
        observe(after_ug + off_ug, gas=gas or argon, **ROOM),
        **how,
    )


def drawn(volume_ul, *, temperature_c=22.0, u_volume_ul=20, **liquid):
    return taking.Drawn(volume_ul, u_volume_ul, temperature_c, **liquid)


def only_line(booking):
    return booking.lines.get()


def destroy(vessel, **facts):
    facts = {"how": "quenched in alcohol", "happened_at": earlier(), **facts}
    return ledger.destroy(vessel, **facts, **signed())
