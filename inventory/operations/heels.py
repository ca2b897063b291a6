"""What cannot be got out of a vessel: noted by those who draw from it."""

from inventory.calc.units import show_mass
from inventory.models import Vessel

from . import custody, log
from .errors import OperationError


@log.operation
def note(vessel, heel_ug, *, by, request_id):
    """Note that `heel_ug` of metal stays behind in a vessel, and return it.

    Zero says that all of it comes out. What is used whole is not asked.
    """
    log.lock(Vessel.objects.all(), vessel.pk)
    vessel = Vessel.objects.with_remaining().get(pk=vessel.pk)
    if log.repeated(request_id):
        return vessel
    custody.refuse_elsewhere(vessel)
    if vessel.remaining_ug == 0:
        state = "is spent" if vessel.filled_on else "has not been filled yet"
        raise OperationError(f"{vessel} {state}.")
    if heel_ug > vessel.remaining_ug:
        raise OperationError(
            f"{vessel} holds {show_mass(vessel.remaining_ug)} in all.", "heel"
        )
    vessel.heel_ug = heel_ug
    vessel.save(update_fields=["heel_ug"])
    log.write(
        "heel",
        f"{show_mass(heel_ug)} cannot be got out of {vessel}",
        by=by,
        request_id=request_id,
        vessel=vessel,
    )
    return vessel
