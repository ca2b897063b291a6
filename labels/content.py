"""What the label of a vessel says, taken out of the records."""

from collections.abc import Iterable
from typing import Any

from django.conf import settings
from django.http import HttpRequest
from django.utils import timezone

from inventory.calc import codes
from inventory.calc.profile import width_mm
from inventory.calc.units import show_mass, show_volume
from inventory.models import Vessel

from . import fills, names, statements
from .rules import Mode, Profile, Verdict, transport
from .shelf import Shelf, Wish, inside_of, merged, transport_of, verdict
from .wording import LabelContent, Translation
from .words import WORDS

# Smaller than any label: what stays on the vessel is asked for the worst case.
TINY_MM = (1.0, 1.0)


def printable(vessels: Any) -> Any:
    """Return the vessels of a queryset that a label can be printed for, with sums."""
    return vessels.for_list().in_stock().select_related("gas", "batch__hazard")


def for_vessels(
    vessels: Iterable[Vessel],
    base_url: str,
    languages: tuple[str, ...] = ("en",),
    mode: Mode = "eu",
    *,
    with_transport: bool = False,
    research: bool = False,
    outer_full: bool = False,
) -> list[LabelContent]:
    """Return a LabelContent for each vessel from `printable`, in their order.

    `base_url` is the address in front of the QR code's path. Raises CannotPrint
    when the laboratory is not filled in, or a statement cannot be completed.
    """
    wish = Wish(languages, mode, with_transport, research, outer_full)
    chosen = list(vessels)
    shelf = Shelf.read(chosen)
    return [for_vessel(vessel, shelf, base_url, wish) for vessel in chosen]


def for_vessel(vessel: Vessel, shelf: Shelf, base_url: str, wish: Wish) -> LabelContent:
    """Return the LabelContent of one vessel."""
    profile = merged(vessel, shelf)
    least = verdict(vessel, shelf, wish, TINY_MM)
    first, *further = (
        said_in(lang, vessel, shelf, profile, wish) for lang in wish.languages
    )
    words, batch = WORDS[first.lang], vessel.batch
    return LabelContent(
        product_name=first.product_name,
        symbol=batch.material.symbol,
        cas=batch.material.cas,
        full_code=vessel.full_code,
        vessel_code=vessel.code,
        batch_code=batch.code,
        url=(base_url + codes.qr_path(batch.code, vessel.number)).upper(),
        net_text=words.number(show_mass(vessel.remaining_ug, vessel.u2_ug2**0.5)),
        net_date=words.day(timezone.localdate(shelf.days[vessel.pk])),
        medium_text=first.medium_text,
        volume_text=first.volume_text,
        pictograms=profile.pictograms,
        signal_word=first.signal_word,
        h_texts=first.h_texts,
        euh_texts=first.euh_texts,
        p_texts=first.p_texts,
        supplier=shelf.supplier,
        note=" ".join(filter(None, (first.note, outer_text(least)))),
        lang=first.lang,
        more=tuple(further),
        transport_text=first.transport_text,
        mode=wish.mode,
        statement_codes=profile.h + supplemental(profile, wish) + profile.p,
        least=least.least,
        capacity_ul=vessel.capacity_ul,
        glass_mm=width_mm(vessel.kind, vessel.capacity_ul),
    )


def said_in(
    lang: str, vessel: Vessel, shelf: Shelf, profile: Profile, wish: Wish
) -> Translation:
    """Return what the label says in one language."""
    words, inside = WORDS[lang], inside_of(vessel, shelf)
    fill = fills.fills(inside, lang)

    def texts(codes: tuple[str, ...]) -> tuple[str, ...]:
        return tuple(
            statements.text(code, lang, fill, us_wording=wish.mode == "osha")
            for code in codes
        )

    opened = vessel.opened_on
    line = transport.line(transport_of(vessel, shelf)) if wish.transport else ""
    volume = words.number(show_volume(vessel.capacity_ul))
    return Translation(
        lang=lang,
        product_name=names.product(inside.symbol, vessel.batch.hazard.form, lang),
        signal_word=words.signal(profile.signal_word),
        h_texts=texts(profile.h),
        euh_texts=texts(supplemental(profile, wish)),
        p_texts=texts(profile.p),
        medium_text=fills.medium_text(inside, lang),
        volume_text=words.vessel.format(volume=volume),
        transport_text=words.transport.format(entry=line) if line else "",
        note=words.opened.format(day=words.day(opened)) if opened else "",
    )


def supplemental(profile: Profile, wish: Wish) -> tuple[str, ...]:
    return profile.euh if wish.has_supplemental else ()


def outer_text(asked: Verdict) -> str:
    """Return OSHA's sentence for a short label inside a fully labelled package."""
    said = any(element.key == "outer_statement" for element in asked.elements)
    return "Full label information is on the outer package." if said else ""


def base_url(request: HttpRequest) -> str:
    """Return the address that printed codes begin with."""
    return settings.PUBLIC_URL or f"{request.scheme}://{request.get_host()}"
