"""The transport line: what the dangerous goods list says of a metal, on request."""

from inventory.calc.hazards import Transport

CAUTION = (
    "Whether and how this may be sent is for a dangerous-goods adviser to decide: the "
    "form, the amount, the liquid around the metal and the package all change the "
    "entry. The line on a label is no transport marking."
)


def line(entry: Transport) -> str:
    """Return the entry as "UN 1428 SODIUM, 4.3, PG I", or "" where there is none.

    The order is that of the transport document (ADR 5.4.1.1.1; from memory).
    """
    if not entry.un_number:
        return ""
    group = f", PG {entry.packing_group}" if entry.packing_group else ""
    return f"UN {entry.un_number} {entry.name}, {entry.hazard_class}{group}"
