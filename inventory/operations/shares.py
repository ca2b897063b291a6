"""A partner's share of a metal in a project: agreed, changed, and held to."""

from inventory.calc.units import show_count, show_mass, show_percent
from inventory.models import MetalRequest, Project, Share, Vessel

from . import log, purities, standings
from .errors import OperationError
from .standings import Standing, standing

__all__ = [
    "Standing",
    "against",
    "drop",
    "hold",
    "refuse_asking",
    "refuse_beyond",
    "set_share",
    "standing",
    "too_many",
]


@log.operation
def set_share(project, partner, material, *, facts, media=(), by, request_id):
    """Agree on `partner`'s share of `material` in `project`, or change it; return it.

    `facts` are mass_ug or vessel_count (the other None), smallest_purity (a fraction
    or None) and note; `media` are those it may be kept in, none for any.
    """
    project = log.lock(Project.objects.all(), project.pk)
    if earlier := log.repeated(request_id):
        return Share.objects.get(pk=earlier.subject_id)
    if project.closed_on:
        raise OperationError("This project is closed.")
    if not project.partners.filter(pk=partner.pk).exists():
        raise OperationError(f"{partner} is no partner of this project.", "partner")
    one = {"project": project, "partner": partner, "material": material}
    was = locked(**one).first()
    refuse_less(Share(**one, **facts), was)
    share, _ = Share.objects.update_or_create(**one, defaults=facts)
    share.media.set(media)
    log.write(
        "share-set",
        f"{'Changed' if was else 'Agreed on'} the share of {partner} in {project}: "
        f"{total(share)}",
        by=by,
        request_id=request_id,
        project=project,
        subject_id=share.pk,
    )
    return share


def refuse_less(share, was):
    """Refuse to agree on less than is used and promised, unless it `was` less yet."""
    size = share.mass_ug or share.vessel_count
    same_unit = was and bool(was.mass_ug) == bool(share.mass_ug)
    if same_unit and size >= (was.mass_ug or was.vessel_count):
        return
    now = standings.of_share(share, standings.tally([share.project_id]))
    if now.beyond:
        used, promised, _, _ = now.parts
        raise OperationError(
            f"{show(share, used)} used and {show(share, promised)} promised already: "
            "agree on that much at least, or release a booking first.",
            "amount",
        )


@log.operation
def drop(share, *, reason, by, request_id):
    """Take a share back altogether, and return its project."""
    project = log.lock(Project.objects.all(), share.project_id)
    if log.repeated(request_id):
        return project
    share = locked(pk=share.pk).select_related("partner", "material").first()
    if share is None:
        raise OperationError("This share was taken back already.")
    metal = share.material.name
    tallies = standings.tally([project.pk])
    if standings.of_share(share, tallies).promised_ug:
        raise OperationError(
            f"{share.partner} is still promised {metal} of it. Serve or release those "
            "bookings first."
        )
    if claimed(share):
        raise OperationError(
            f"{share.partner} has asked for {metal} of it. Answer that first."
        )
    log.write(
        "share-drop",
        f"Took back the share of {share.partner} in {project}, {total(share)}: "
        f"{reason}",
        by=by,
        request_id=request_id,
        project=project,
        subject_id=share.pk,
    )
    share.delete()
    return project


def refuse_beyond(project, partner, promises, *, reason=""):
    """Refuse to promise what a partner's share does not allow, unless with a `reason`.

    `promises` is [(vessel, mass_ug, is_whole)]. A share allows so much, so pure, in
    such media. Metal that no share was agreed for has no limit, nor has a booking
    for the project as a whole (`partner` None). Locks the shares, inside the
    booking's transaction. Returns the reason if one was needed, else "".
    """
    hold(project, partner)
    said = against(project, partner, promises)
    if said and not reason:
        raise OperationError(
            f"{' '.join(said)} To book it all the same, say why.", "beyond_share"
        )
    return reason if said else ""


def hold(project, partner):
    """Lock a partner's shares in a project until the transaction ends."""
    list(locked(project=project, partner=partner).order_by("pk"))


def against(project, partner, promises, *, would="promise"):
    """Return what a partner's share has against `promises`, as sentences.

    `would` says what is to be done with them.
    """
    if partner is None:
        return []
    keys = [vessel.pk for vessel, _, _ in promises]
    vessels = Vessel.objects.select_related("batch__material", "medium").in_bulk(keys)
    wishes = [(vessels[vessel.pk], mass_ug) for vessel, mass_ug, _ in promises]
    said = []
    for now in standings.standing(project, [partner]):
        of_it = [
            (vessel, mass_ug)
            for vessel, mass_ug in wishes
            if vessel.batch.material_id == now.share.material_id
        ]
        if of_it:
            wanted = [vessel for vessel, _ in of_it]
            said += too_much(now, of_it, would)
            said += too_impure(now.share, wanted)
            said += kept_otherwise(now.share, wanted)
    return said


def too_many(project, partner, vessel):
    """Return what a share in vessels has against one more `vessel`, as a list."""
    return [
        words
        for now in standings.standing(project, [partner] if partner else [])
        if now.share.mass_ug is None
        and now.share.material_id == vessel.batch.material_id
        for words in too_much(now, [(vessel, 0)], "promise")
    ]


def too_much(now, wishes, would):
    """Return what is to be said of more than is free of a share, as a list."""
    share = now.share
    used, promised, free, _ = now.parts
    asked = sum(mass_ug for _, mass_ug in wishes)
    if share.mass_ug is None:
        asked = len({vessel.pk for vessel, _ in wishes} - now.vessels)
    if asked <= free:
        return []
    return [
        f"{share.partner} has {show(share, free)} free of its share, {total(share)}: "
        f"{show(share, used)} used, {show(share, promised)} promised. This would "
        f"{would} {show(share, asked)}."
    ]


def too_impure(share, wanted):
    """Return what is to be said of metal that is less pure than the share asks."""
    least = share.smallest_purity
    if least is None:
        return []
    batches = {vessel.batch_id: vessel.batch for vessel in wanted}
    said = []
    for key, known in purities.fractions_of(batches).items():
        if known is None or known < least:
            has = "is not known" if known is None else f"is {show_percent(known)}"
            said.append(
                f"The share is of metal of {show_percent(least)} or purer; the purity "
                f"of {batches[key]} {has}."
            )
    return said


def kept_otherwise(share, wanted):
    """Return what is to be said of metal kept in a medium that was not agreed."""
    allowed = list(share.media.all())
    names = " or ".join(medium.name for medium in allowed)
    return [
        f"The share is of metal in {names}; {vessel} is kept in {vessel.medium.name}."
        for vessel in wanted
        if allowed and vessel.medium not in allowed
    ]


def refuse_asking(
    project, partner, material, *, mass_ug=None, vessel_count=None,
    smallest_purity=None, apart_from=None,
):  # fmt: skip
    """Refuse to ask for more of a metal than is left of a partner's share.

    Locks the share. What pending requests ask for and nothing serves yet counts as
    taken, but for the request `apart_from`, which is being changed. A share in
    vessels is asked for in vessels. Whole vessels of a share in mass have no mass
    yet: they may be asked for while anything is left. Without a partner (the project
    as a whole asks) there is no share to hold to.
    """
    if partner is None:
        return
    metal = material.name
    one = {"project": project, "partner": partner, "material": material}
    share = locked(**one).first()
    if share is None:
        raise OperationError(
            f"No share of {metal} is agreed for {partner} in {project}.", "material"
        )
    if smallest_purity and smallest_purity < (share.smallest_purity or 0):
        raise OperationError(
            f"The share is of metal of {show_percent(share.smallest_purity)} or purer: "
            "ask for no less, or leave this empty.",
            "smallest_purity",
        )
    if share.vessel_count and mass_ug:
        raise OperationError(
            f"The share of {metal} is a number of vessels: ask for vessels.", "amount"
        )
    now = standings.of_share(share, standings.tally([project.pk]))
    asked = claimed(share, apart_from)
    *_, free, _ = now.parts
    left = max(0, free - asked)
    if (vessel_count if share.vessel_count else mass_ug or 1) > left:
        waiting = f" You asked for {show(share, asked)} already." if asked else ""
        raise OperationError(
            f"The share, {total(share)}, has {show(share, left)} left.{waiting}",
            "amount",
        )


def claimed(share, apart_from=None):
    """Return what pending requests ask for of a share, in its unit, and nothing serves.

    What is booked or went out for them counts in the share already, and only there.
    """
    pending = MetalRequest.objects.pending().filter(
        project=share.project_id, partner=share.partner_id, material=share.material_id
    )
    if apart_from:
        pending = pending.exclude(pk=apart_from.pk)
    pending = pending.with_booked()
    if share.mass_ug is None:
        return sum(row.missing_count or 0 for row in pending)
    return sum(row.missing_ug or 0 for row in pending)


def locked(**one):
    """Return the shares that are meant, held until the transaction ends."""
    rows = Share.objects.select_for_update(of=("self",), no_key=True)
    return rows.filter(**one)


def show(share, value):
    """Show µg or a number of vessels, whichever a share counts in."""
    if share.mass_ug is None:
        return show_count(value, "vessel")
    return show_mass(value)


def total(share):
    """Return how much of what a share is: `10.00 g of rubidium`."""
    size = share.vessel_count if share.mass_ug is None else share.mass_ug
    return f"{show(share, size)} of {share.material.name}"
