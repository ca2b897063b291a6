"""What changed since a page was shown, in sentences: the vessels, the requests."""

from inventory.calc.units import show_mass, show_mass_plain, show_percent
from inventory.models import Medium

from . import planning

PLANNED = "when this was planned"


def of_vessels(then, locked):
    """Return a sentence for each way in which vessels are not as they were.

    `then` are Candidates, `locked` the vessels by key, with what is left and free.
    """
    rows = planning.usable().filter(pk__in=[each.key for each in then])
    # What went whole though it was open was pinned by the keeper.
    whole = {each.key for each in then if each.whole_ug}
    now = {each.key: each for each in planning.candidates(rows, pinned=whole)}
    media = dict(Medium.objects.values_list("key", "name"))
    said = []
    for was in then:
        vessel = locked[was.key]
        if was.key in now:
            said += differences(vessel, was, now[was.key], media)
        else:
            said.append(f"{vessel} {why_gone(vessel)}.")
    return said


def why_gone(vessel):
    """Say why no plan may use a vessel any more."""
    if vessel.custodian_id:
        return f"is with {vessel.custodian} now"
    if vessel.remaining_ug == 0:
        return "is spent"
    if vessel.free_ug <= 0:
        return "is promised altogether now"
    return "leaks, by its last inspection"


def differences(vessel, was, now, media):
    """Yield in what way a vessel is not as it was."""
    if was.drawable_ug != now.drawable_ug:
        masses = then_and_now(was.drawable_ug, now.drawable_ug)
        more_or_less = "more" if now.drawable_ug > was.drawable_ug else "less"
        yield f"{vessel} has {more_or_less} to draw: {masses}."
    if was.whole_ug and not now.whole_ug:
        yield f"{vessel} cannot go whole any more: something of it is promised."
    if was.is_sealed and not now.is_sealed:
        yield f"{vessel} was opened."
    if was.medium != now.medium:
        yield f"{vessel} is kept in {media[now.medium]} now."
    if was.purity != now.purity:
        known = show_percent(now.purity) if now.purity else "not known"
        yield f"{vessel}: its purity is {known} now."


def of_requests(then, now):
    """Return a sentence for each request that does not miss what it missed.

    `then` are Demands, `now` those of the same requests.
    """
    now = {each.key: each for each in now}
    return [
        f"Request {was.key} {change(was, now.get(was.key))}."
        for was in then
        if was != now.get(was.key)
    ]


def change(was, now):
    """Say in what way a request is not as it was."""
    if now is None:
        return "misses nothing any more: it was booked, served, declined or taken back"
    if was.mass_ug and now.mass_ug and was.mass_ug != now.mass_ug:
        return f"misses {then_and_now(was.mass_ug, now.mass_ug)}"
    if was.vessels and now.vessels and was.vessels != now.vessels:
        return f"misses {now.vessels} vessels now, {was.vessels} {PLANNED}"
    return "has other terms now"


def then_and_now(was_ug, now_ug):
    """Show two masses, with all their digits where fewer would not tell them apart."""
    show = show_mass
    if show(was_ug) == show(now_ug):
        show = show_mass_plain
    return f"{show(now_ug)} now, {show(was_ug)} {PLANNED}"
