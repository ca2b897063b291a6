"""The bench: many vessels filled one after the other, each row saved by itself."""

from django.contrib import messages
from django.http import JsonResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_POST

from inventory.models import Batch
from inventory.operations import bench as benches
from inventory.operations import closing, vessels
from inventory.operations.access import HANDLING, for_roles
from inventory.operations.errors import OperationError
from inventory.web import bench_rows, running_sum, story
from inventory.web.forms.bench import HeadForm, LayOutForm, row_of
from inventory.web.submit import answer


@for_roles(HANDLING)
def lay_out(request, code):
    """Give vessels their codes before the run, to be tared at the bench."""
    batch = the_batch(code)
    form = LayOutForm(request.POST or None)
    return answer(
        request,
        form,
        lambda **signed: vessels.lay_out(batch, **form.vessels(), **signed),
        lambda made: f"Laid out {vessels.named(made)}. Tare them before the run.",
        "inventory/lay_out.html",
        context={"batch": batch},
        to=batch,
    )


@for_roles(HANDLING)
def bench(request, code):
    """Show the bench; without a script each row is sent to here by its own button."""
    batch = the_batch(code)
    if request.method != "POST":
        first = bench_rows.first_head(request, batch)
        return page(request, batch, head_of(batch, first.get("source"), initial=first))
    head, row, told = save(request, batch)
    if told is None:
        rows = bench_rows.of_page(batch, typed=request.POST, refused=row)
        return page(request, batch, head, rows, status=422)
    say(request, told, again=row.was_sent)
    if bench_rows.typed_beside(request.POST, row):
        rows = bench_rows.of_page(batch, typed=request.POST, done=row)
        return page(request, batch, head, rows)
    at = reverse("batch-bench", args=[batch.code], query=head.kept(), fragment="rows")
    return redirect(at)


@for_roles(HANDLING)
@require_POST
def save_row(request, code):
    """Save one row for the script, and answer as JSON what came of it."""
    if request.POST.get("user") != str(request.user.pk):
        return JsonResponse(
            {"problem": f"Here {request.user} is logged in, who did not type this."},
            status=409,
        )
    batch = the_batch(code)
    head, row, told = save(request, batch)
    if told is None:
        return JsonResponse(refusal(head, row), status=422)
    source = batch.vessels.filter(code=request.POST.get("source", "")).first()
    return JsonResponse(
        {
            "vessel": told.vessel.pk,
            "code": str(told.vessel),
            "at": told.vessel.get_absolute_url(),
            **running_sum.of_row(told),
            "sums": running_sum.words(batch, source),
        }
    )


def the_batch(code):
    return get_object_or_404(Batch.objects.select_related("material"), code=code)


def sources(batch):
    """Return the vessels of the batch that metal may come from."""
    return batch.vessels.in_stock().order_by("number")


def head_of(batch, code, *args, **kwargs):
    """Return the HeadForm; an old, opened source of ageing metal has to be looked at."""
    source = chosen(batch, code)
    ageing = story.age(source) if source else None
    return HeadForm(*args, sources=sources(batch), ageing=ageing, **kwargs)


def chosen(batch, code):
    """Return the source with this code, or None for the run itself."""
    together = sources(batch).select_related("batch__material")
    return together.filter(code=code or "").first()


def save(request, batch):
    """Record the row that was sent; return (head, row, told).

    `told` is None where it was refused, with the reasons on the forms. A row that
    was recorded before is told again, whatever has become of its vessel since.
    """
    head = head_of(batch, request.POST.get("source"), request.POST)
    row = bench_rows.sent(request.POST, batch)
    if row is None:
        head.add_error(None, "Say which row is to be saved.")
        return head, None, None
    try:
        if row.earlier:
            row.was_sent = True
            return head, row, benches.told(row.earlier)
        both_valid = head.is_valid() & row.is_valid()
        if both_valid and (found := row_of(head, row, batch)):
            told = benches.fill_row(
                batch,
                found,
                source=head.cleaned_data["source"],
                by=request.user,
                request_id=row.cleaned_data["request_id"],
            )
            return head, row, told
    except OperationError as error:
        put(error, head, row)
    return head, row, None


def put(error, head, row):
    """Put a refusal at its field, in the row or in the head, or at the row itself."""
    name = (error.field or "").removeprefix(f"{row.prefix}-")
    if name in row.fields:
        row.add_error(name, str(error))
    elif name in head.fields:
        head.add_error(name, str(error))
    else:
        row.add_error(None, str(error))


def refusal(head, row):
    """Return what the script shows of a refused row: a sentence for each field."""
    found, whole = {}, []
    for key, form in {"head": head, "row": row}.items():
        errors = form.errors if form else {}
        said = {name: " ".join(sentences) for name, sentences in errors.items()}
        whole.append(said.pop("__all__", ""))
        found[key] = said
    return {**found, "problem": " ".join(filter(None, whole))}


def say(request, told, *, again):
    """Say in messages what was recorded, for a page without a script."""
    if again:
        messages.warning(
            request, "This row had been sent already. Nothing was recorded twice."
        )
    shown = running_sum.of_row(told)
    verb = "Filled" if shown["net"] else "Tared"
    messages.success(request, f"{verb} {told.vessel}: {shown['net'] or shown['tare']}.")
    for caution in told.cautions:
        messages.warning(request, caution)


def page(request, batch, head, rows=None, status=200):
    """Show the bench, with its rows as they begin unless others are given."""
    rows = rows or bench_rows.of_page(batch)
    source = chosen(batch, head["source"].value())
    context = {
        "batch": batch,
        "head": head,
        "rows": rows,
        "refused_rows": sum(bool(row.errors) for row in rows),
        "blank": bench_rows.blank(batch),
        "most": bench_rows.MOST_ROWS,
        "sums": running_sum.words(batch, source),
        "source": source,
        "closed": closing.standing(batch),
    }
    return render(request, "inventory/bench.html", context, status=status)
