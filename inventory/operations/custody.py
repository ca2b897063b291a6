"""In whose hands a vessel is: what is with a partner can be neither used nor promised."""

from .errors import OperationError


def refuse_elsewhere(vessel, field=None):
    """Refuse to do something here with a vessel that is in a partner's hands."""
    if vessel.custodian_id:
        raise OperationError(
            f"{vessel} is with {vessel.custodian}: record its return first.", field
        )
