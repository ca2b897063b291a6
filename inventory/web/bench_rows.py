"""The rows of the bench: which there are, and what stands in them."""

import re

from django.db.models import Prefetch

from inventory.models import USUAL_CLOSURE, Medium, VesselKind, Weighing
from inventory.web.forms.bench import HeadForm, RowForm

MOST_ROWS = 100
NEW_ROWS = 1
# A vessel's row is named by its key, a new one by a number of the page.
NAME = re.compile(r"v([0-9]{1,18})|n[0-9]{1,4}")
READING = re.compile(rf"({NAME.pattern})-({'|'.join(RowForm.READINGS)})")


def media():
    """Return what metal may be kept in, asked for once and not for every row."""
    return list(Medium.objects.exclude(key="air"))


def with_tares(queryset):
    """Read with each vessel its tares that stand, oldest first, as `tares`."""
    tares = Weighing.objects.filter(purpose="tare", struck_by=None).order_by("id")
    together = tares.select_related("balance", "gas")
    return queryset.prefetch_related(Prefetch("weighings", together, to_attr="tares"))


def sent(data, batch):
    """Return the form of the row that is to be saved, or None if there is none.

    Without a script the Enter key says only that something was typed.
    """
    name = data.get("save", "")
    if name == "typed":
        name = next(read_in(data), "")
    found = NAME.fullmatch(name)
    if not found:
        return None
    vessel = None
    if found[1]:
        vessel = with_tares(batch.vessels.filter(pk=found[1])).first()
        if vessel is None:
            return None
    return RowForm(data, prefix=found[0], vessel=vessel, media=media())


def read_in(data):
    """Yield the names of the rows that were sent with a reading, from the top."""
    for key in data:
        if data[key] and (found := READING.fullmatch(key)):
            yield found[1]


def typed_beside(data, row):
    """Return whether readings were sent in other rows, which a redirect would lose."""
    return any(name != row.prefix for name in read_in(data))


def first_head(request, batch):
    """Return what the head starts with: the address's query, or what was used last."""
    asked = {name: request.GET[name] for name in HeadForm.KEPT if name in request.GET}
    if asked:
        return asked
    last = Weighing.objects.filter(vessel__batch=batch).order_by("-id").first()
    run = getattr(batch, "run_log", None)
    return {
        "balance": last and last.balance_id,
        "source": run.receiver.code if run and run.receiver_id else None,
    }


def first_rows(batch):
    """Return what a row starts with, as {kind: initial}; None is a new vessel's.

    As it was for the newest vessel of the same kind: what a receiver is kept in
    and closed with says nothing of an ampoule.
    """
    newest = batch.vessels.order_by("-number").values("kind", "capacity_ul").first()
    filled = batch.vessels.filter(filled_on__isnull=False, medium__isnull=False)
    found = {kind: {"closure": USUAL_CLOSURE[kind]} for kind in VesselKind}
    for kind, medium, closure in filled.order_by("id").values_list(
        "kind", "medium__key", "closure"
    ):
        found[kind] = {"medium": medium, "closure": closure}
    new = dict(found[newest["kind"] if newest else VesselKind.AMPOULE])
    if newest:
        capacity = f"{newest['capacity_ul'] / 1000:.10g} mL"
        new |= {"kind": newest["kind"], "capacity": capacity}
    return found | {None: new}


def of_page(batch, *, typed=None, refused=None, done=None):
    """Return the form of each row: the vessels not filled yet, then a new one.

    `typed` is what was sent: it stands in its rows again. One was `refused`, and
    carries the reasons; or one is `done`, and begins anew.
    """
    waiting = batch.vessels.filter(filled_on=None, retired_on=None)
    vessels = list(with_tares(waiting.order_by("number")[:MOST_ROWS]))
    if refused and refused.vessel and refused.vessel not in vessels:
        vessels.append(refused.vessel)
    names = [(f"v{vessel.pk}", vessel) for vessel in vessels]
    names += [(f"n{number}", None) for number in range(NEW_ROWS)]
    first, choices, rows = first_rows(batch), media(), []
    for name, vessel in names:
        if refused and refused.prefix == name:
            rows.append(refused)
            continue
        anew = done and done.prefix == name
        usual = first[vessel and vessel.kind]
        initial = usual | ({} if anew else stood(typed or {}, name))
        rows.append(RowForm(prefix=name, vessel=vessel, initial=initial, media=choices))
    return rows


def blank(batch):
    """Return the form that the script makes further rows of."""
    return RowForm(prefix="n", initial=first_rows(batch)[None], media=media())


def stood(typed, prefix):
    """Return what stood in one row that was sent along with another one."""
    names = set(RowForm.base_fields) - {"request_id", "age"}
    keys = {name: f"{prefix}-{name}" for name in names}
    return {name: typed[key] for name, key in keys.items() if key in typed}
