"""A batch's run: its page with the quick entry, its set-up, a reading struck out."""

from django.core.exceptions import PermissionDenied
from django.db.models import Q
from django.shortcuts import get_object_or_404, render
from django.urls import reverse

from inventory.calc.units import show_in, show_mass_plain
from inventory.models import Batch, RunReading
from inventory.operations import runs
from inventory.operations.access import HANDLING, INSIDE, for_roles
from inventory.web.forms.run import ReadingForm, SetUpForm
from inventory.web.quantities import QUANTITIES
from inventory.web.run_story import SESSION_KEY, Story
from inventory.web.run_words import clock
from inventory.web.submit import answer, answer_with_reason, summary


def found(code):
    return get_object_or_404(Batch.objects.select_related("material"), code=code)


def units_of(request, batch):
    """Return the units this person typed last for this batch: other runs have others."""
    return request.session.get(f"{SESSION_KEY} {batch}", {})


@for_roles(INSIDE)
def run(request, code):
    """Show how a run stands; those who handle metal enter the next reading here."""
    batch = found(code)
    kept = units_of(request, batch)
    asked = request.GET
    story = Story(batch, kept, asked.get("page", "1"), asked.get("rows") == "all")
    context = {"batch": batch, "story": story}
    if not request.user.is_staff_member:
        if request.method == "POST":
            raise PermissionDenied
        return render(request, "inventory/run.html", context)
    ended = bool(story.run and story.run.ended_at)
    form = ReadingForm(request.POST or None, last=story.last, kept=kept, ended=ended)
    context["entering"] = form.is_bound or (story.run and not story.is_closed)

    def read(**signed):
        made = runs.read(batch, form.seen(), **signed)
        request.session[f"{SESSION_KEY} {batch}"] = kept | form.units()
        return made

    return answer(
        request,
        form,
        read,
        lambda made: said(made, form),
        "inventory/run.html",
        context=context,
        to=reverse("batch-run", args=[batch.code]),
    )


def said(reading, form):
    """Return what was recorded, in the units it was typed in, and what was not."""
    kept = form.units()
    parts = [
        f"{quantity.label.lower()} {quantity.shown(value, kept)}"
        for quantity in QUANTITIES
        if (value := getattr(reading, quantity.fact)) is not None
    ]
    words = "; ".join([*parts, *filter(None, [reading.note])])
    left = f" Left as it was, so not recorded: {', '.join(form.left).lower()}."
    return f"Read at {clock(reading.read_at)}: {words}.{left if form.left else ''}"


@for_roles(HANDLING)
def set_up(request, code):
    batch = found(code)
    run = runs.of(batch)
    vessels = batch.vessels.filter(
        Q(filled_on=None, retired_on=None) | Q(pk=run and run.receiver_id)
    )
    form = SetUpForm(request.POST or None, vessels=vessels, initial=initial(run))
    return answer(
        request,
        form,
        lambda **signed: runs.set_up(batch, form.run(), **signed),
        f"The run of {batch} is set up.",
        "inventory/run_setup.html",
        context={"batch": batch, "run": run},
        to=reverse("batch-run", args=[batch.code]),
    )


def initial(run):
    """Return what is noted about a run, as a person would type it."""
    if run is None:
        return {}
    return {
        "started_at": run.started_at,
        "ended_at": run.ended_at,
        "receiver": run.receiver and run.receiver.code,
        "receiver_volume": typed_volume(run.receiver_ul),
        "u_receiver": typed_volume(run.u_receiver_ul),
        "worth": f"{show_mass_plain(run.worth_ug_per_h)}/h"
        if run.worth_ug_per_h
        else "",
    }


def typed_volume(ul):
    return f"{show_in(ul, 'mL')} mL" if ul else ""


@for_roles(HANDLING)
def strike(request, pk):
    reading = get_object_or_404(
        RunReading.objects.select_related("batch__material").filter(strikes=None), pk=pk
    )
    story = Story(reading.batch, units_of(request, reading.batch))
    return answer_with_reason(
        request,
        lambda **signed: runs.strike(reading, **signed),
        summary,
        "inventory/run_strike.html",
        context={
            "reading": reading,
            "values": story.values(reading),
            "batch": reading.batch,
        },
        to=reverse("batch-run", args=[reading.batch.code]),
    )
