"""What the bench says in words: of a recorded row, and of all rows so far."""

from django.utils import timezone
from django.utils.text import capfirst

from inventory.calc.units import show_mass, show_reading
from inventory.operations import ledger, tally
from inventory.templatetags import ui

NOT_WEIGHED = {
    "run": "not known: the run's log has no receiver reading in mL",
    "vessel": "not known until it is weighed again after a row",
}


def of_row(told):
    """Return the words for a recorded row; `net` is empty where it was only tared."""
    found = {
        "tare": reading(told.tare),
        "gross": "",
        "net": "",
        "room": "",
        "cautions": told.cautions,
    }
    if told.movement:
        move = told.movement
        found |= {
            "gross": reading(move.heavy),
            "net": show_mass(move.mass_ug, move.u_ug),
            "room": told.room.sentence if told.room.verdict == "fine" else "",
        }
    return found


def reading(weighing):
    return show_reading(weighing.reading_ug, weighing.balance.readability_ug)


def words(batch, source):
    """Return the running sum, {what: words}; empty words where there is nothing."""
    if source is None:
        found = tally.of_run(batch)
    else:
        found = tally.of_vessel(ledger.read(source.pk))
    rows = "vessel" if found.count == 1 else "vessels"
    shown = {
        "from": f"Filled from {source}" if source else "Filled from the run itself",
        "filled": f"{show_mass(found.filled_ug, found.u_filled_ug)} in "
        f"{found.count} {rows}",
        "begun": "",
        "given_name": "Lost by its own weighings" if source else "Collected in the run",
        "given": NOT_WEIGHED["vessel" if source else "run"],
        "missing": "",
    }
    if found.begun_ug is not None:
        shown["begun"] = show_mass(found.begun_ug)
    if found.given_ug is not None:
        shown |= held_against(found)
    return shown


def held_against(found):
    """Return what a reading of the source says, and the difference to the rows."""
    at = timezone.localtime(found.given_at)
    given = f"{show_mass(found.given_ug, found.u_given_ug)}, read {at:%-d %b, %H:%M}"
    size, sign = abs(found.missing_ug), ui.MINUS if found.missing_ug < 0 else "+"
    missing = f"{sign}{show_mass(size, found.u_missing_ug)}; "
    missing += ui.verdict_words(found.verdict)
    if found.later:
        rows = "row" if found.later == 1 else "rows"
        missing += f". {capfirst(str(found.later))} {rows} since are not in it"
    return {"given": given, "missing": missing}
