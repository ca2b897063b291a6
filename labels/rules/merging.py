"""One classification out of several: the metal and the liquid it is kept in."""

from collections.abc import Iterable, Sequence

from inventory.calc import hazard_classes, precautions
from inventory.calc.hazards import Profile


def union(profiles: Sequence[Profile]) -> Profile:
    """Return all that the profiles say together, with what is redundant still in it.

    The pictograms are those every class calls for by itself, so that the rules can say
    which give way, and to what.
    """
    classes = _once(code for profile in profiles for code in profile.classes)
    called_for = {hazard_classes.hazard_class(name).pictogram for name in classes}
    given = {code for profile in profiles for code in profile.pictograms}
    return Profile(
        classes=classes,
        h=hazard_classes.by_gravity(h for profile in profiles for h in profile.h),
        euh=_once(code for profile in profiles for code in profile.euh),
        p=tuple(sorted(_once(code for profile in profiles for code in profile.p))),
        pictograms=tuple(sorted((called_for | given) - {""})),
        signal_word=_graver(profile.signal_word for profile in profiles),
    )


def merge(profiles: Sequence[Profile]) -> Profile:
    """Return what a label says for all the profiles together.

    Pictograms by Art. 26(1), one signal word (Art. 20(3)), no redundant statement
    (Art. 27, 28(1)), the gravest hazard first, precautions by Art. 28(3). Raises
    UnknownClass for a class that is not in the table.
    """
    whole = union(profiles)
    h = tuple(code for code in whole.h if not hazard_classes.replaced_by(code, whole.h))
    return Profile(
        classes=whole.classes,
        h=h,
        euh=whole.euh,
        p=precautions.choose(whole.p, h),
        pictograms=tuple(
            code
            for code in whole.pictograms
            if not hazard_classes.gives_way(code, whole.classes)
        ),
        signal_word=whole.signal_word,
    )


def _once(codes: Iterable[str]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(codes))


def _graver(words: Iterable[str]) -> str:
    given = set(words)
    return next((word for word in ("Danger", "Warning") if word in given), "")
