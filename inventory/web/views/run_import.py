"""Importing a run's readings: a file, a preview of it, and then the record."""

from django.contrib import messages
from django.shortcuts import redirect, render

from inventory.calc.units import show_count
from inventory.operations import runs
from inventory.operations.access import HANDLING, for_roles
from inventory.web import log_rows, logfile
from inventory.web.forms.run_import import UploadForm, preview
from inventory.web.quantities import QUANTITIES
from inventory.web.submit import carry_out, status_of

from .run import found as batch_of

SHOWN_PROBLEMS = 30
SHOWN_ROWS = 5


@for_roles(HANDLING)
def import_readings(request, code):
    """Take a file, show how it is read, and record it once that is confirmed."""
    batch = batch_of(code)
    run = runs.of(batch)
    if run is None:
        messages.warning(request, "Set the run up first: then readings have a start.")
        return redirect("batch-run-setup", batch.code)
    text = request.POST.get("text")
    sent = request.method == "POST" and text is None
    upload = UploadForm(request.POST, request.FILES) if sent else UploadForm()
    try:
        if text is not None:
            return answer_preview(request, batch, run, preview(text, request.POST))
        if sent and upload.is_valid():
            return answer_preview(request, batch, run, preview(upload.text))
    except logfile.Unreadable as error:
        if not sent:
            upload = UploadForm({"pasted": text})
            upload.is_valid()
        upload.add_error(None, str(error))
    return render(
        request,
        "inventory/run_import.html",
        {"batch": batch, "form": upload},
        status=status_of(upload),
    )


def answer_preview(request, batch, run, form):
    """Show what a file says; record it if that was asked for and can be done."""
    found, fresh = log_rows.Found(), []
    if form.is_valid():
        found = log_rows.read(form.sheet, form.choices(), run)
        seen = [seen for _, seen in found.rows]
        fresh = runs.new_among(batch, seen)
        if "record" in request.POST and recorded(request, batch, form, found, fresh):
            return redirect("batch-run", batch.code)
    context = {
        "batch": batch,
        "form": form,
        "found": found,
        "fresh": len(fresh),
        "known": len(found.rows) - len(fresh),
        "early": sum(seen.read_at < run.started_at for _, seen in found.rows),
        "more_problems": max(len(found.problems) - SHOWN_PROBLEMS, 0),
        "problems": found.problems[:SHOWN_PROBLEMS],
        "table": table(form, found.rows),
    }
    return render(
        request, "inventory/run_preview.html", context, status=status_of(form)
    )


def recorded(request, batch, form, found, fresh):
    """Record the rows that were read; a row that was not has to be let go first."""
    if not found.rows:
        form.add_error(None, "No row of this file can be read like this.")
    elif found.problems and not form.cleaned_data["skip"]:
        form.add_error(
            "skip", "Some rows cannot be read: say that they are to be left out."
        )
    else:
        return carry_out(
            request,
            form,
            lambda: runs.import_readings(
                batch,
                [seen for _, seen in found.rows],
                by=request.user,
                request_id=form.cleaned_data["request_id"],
            ),
            f"Imported {show_count(len(fresh), 'reading')}.",
        )
    return None


def table(form, rows):
    """Return a few rows as they are read: {heads, rows: [(line, when, cells)]}."""
    if not rows:
        return {}
    units = {
        name: unit
        for name, _, unit in (
            what.partition(":") for what in form.choices().columns if what
        )
    }
    read = [quantity for quantity in QUANTITIES if quantity.name in units]
    chosen = rows
    if len(rows) > 2 * SHOWN_ROWS:
        chosen = [*rows[:SHOWN_ROWS], *rows[-SHOWN_ROWS:]]
    return {
        "heads": [quantity.label for quantity in read],
        "rows": [
            (line, seen.read_at, cells(seen, read, units)) for line, seen in chosen
        ],
        "left_out": len(rows) - len(chosen),
    }


def cells(seen, read, units):
    """Return [(label, a value in the unit of its column)], then the note."""
    found = []
    for quantity in read:
        value = getattr(seen, quantity.fact)
        words = "" if value is None else quantity.shown(value, units)
        found.append((quantity.label, words))
    return [*found, ("Note", seen.note)]
