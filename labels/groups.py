"""What stands on the label of a box, and on the sign of a place: vessels together."""

from collections.abc import Iterable, Sequence
from dataclasses import replace
from typing import Any

from inventory.calc.units import show_mass

from . import fills, names
from .composing import Listed
from .content import for_vessel, said_in, supplemental
from .rules import Profile, merge
from .shelf import Shelf, Wish, hazards_of, inside_of
from .wording import CannotPrint, LabelContent, Translation
from .words import WORDS

Group = tuple[LabelContent, tuple[Listed, ...]]


class NoPlace(CannotPrint):
    def __init__(self, vessel: Any) -> None:
        super().__init__(f"{vessel} stands in no place: a sign is for a place.")


def boxes(
    vessels: Sequence[Any], shelf: Shelf, base_url: str, wish: Wish
) -> list[Group]:
    """Return one label for each batch and medium: their words differ.

    A box that holds two of them carries both.
    """
    return [
        (_of_batch(same, shelf, base_url, wish), tuple(map(_listed, same)))
        for same in _grouped(vessels, lambda one: (one.batch_id, *_kept_in(one)))
    ]


def signs(
    vessels: Sequence[Any], shelf: Shelf, base_url: str, wish: Wish
) -> list[Group]:
    """Return one sign for each place. Raises NoPlace."""
    for vessel in vessels:
        if vessel.place is None:
            raise NoPlace(vessel)
    return [
        (_of_place(same, shelf, base_url, wish), tuple(_kinds(same, shelf, wish)))
        for same in _grouped(vessels, lambda one: one.place_id)
    ]


def _grouped(vessels: Sequence[Any], key: Any) -> list[list[Any]]:
    found: dict[Any, list[Any]] = {}
    for vessel in vessels:
        found.setdefault(key(vessel), []).append(vessel)
    return list(found.values())


def _kept_in(vessel: Any) -> tuple[int, int | None]:
    return vessel.medium_id, vessel.gas_id


def _listed(vessel: Any) -> Listed:
    return Listed(vessel.full_code, show_mass(vessel.remaining_ug))


def _kinds(vessels: list[Any], shelf: Shelf, wish: Wish) -> Iterable[Listed]:
    """Yield a line for each metal and what it is kept in, with how much of it."""
    lang = wish.languages[0]
    for same in _grouped(vessels, lambda one: (one.batch.material_id, *_kept_in(one))):
        inside = inside_of(same[0], shelf)
        metal = names.product(inside.symbol, "", lang)
        mass = show_mass(sum(one.remaining_ug for one in same))
        named = f"{metal}, {fills.medium_text(inside, lang)}"
        yield Listed(named, WORDS[lang].number(mass))


def _of_batch(same: list[Any], shelf: Shelf, base_url: str, wish: Wish) -> LabelContent:
    """Return what the batch's label says, of a box and not of one vessel."""
    content = for_vessel(same[0], shelf, base_url, wish)
    code = same[0].batch.code
    return replace(
        content,
        full_code=code,
        vessel_code=code,
        batch_code="",
        url=f"{base_url}/B/{code}".upper(),
        net_text="",
        net_date="",
        volume_text="",
        note="",
        least=(),
        capacity_ul=None,
        glass_mm=None,
        more=tuple(replace(one, volume_text="", note="") for one in content.more),
    )


def _of_place(same: list[Any], shelf: Shelf, base_url: str, wish: Wish) -> LabelContent:
    """Return what a place's sign says: the hazards of all that is kept there.

    Of the precautions only those that are worded alike for everything in it: powders
    that put out one metal do not put out another.
    """
    place = same[0].place
    kinds = [
        one[0] for one in _grouped(same, lambda one: (one.batch_id, *_kept_in(one)))
    ]
    profile = merge([each for one in kinds for each in hazards_of(one, shelf)])
    agreed = tuple(
        code for code in profile.p if _alike(code, kinds, shelf, profile, wish)
    )
    profile = replace(profile, p=agreed)
    first, *further = (
        _said(lang, kinds[0], shelf, profile, wish, place.name)
        for lang in wish.languages
    )
    return LabelContent(
        product_name=place.name,
        full_code=place.name,
        vessel_code=place.name,
        url=f"{base_url}/P/{place.pk}".upper(),
        pictograms=profile.pictograms,
        signal_word=first.signal_word,
        h_texts=first.h_texts,
        euh_texts=first.euh_texts,
        p_texts=first.p_texts,
        supplier=shelf.supplier,
        lang=first.lang,
        more=tuple(further),
        mode=wish.mode,
        statement_codes=profile.h + supplemental(profile, wish) + profile.p,
    )


def _said(
    lang: str, vessel: Any, shelf: Shelf, profile: Profile, wish: Wish, name: str
) -> Translation:
    said = said_in(lang, vessel, shelf, profile, replace(wish, transport=False))
    return replace(said, product_name=name, medium_text="", volume_text="", note="")


def _alike(
    code: str, kinds: list[Any], shelf: Shelf, profile: Profile, wish: Wish
) -> bool:
    alone = replace(profile, h=(), euh=(), p=(code,))
    lang = wish.languages[0]
    texts = {said_in(lang, one, shelf, alone, wish).p_texts for one in kinds}
    return len(texts) == 1
