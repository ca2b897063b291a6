"""What a metal may be kept in, by the catalogue."""

from inventory.models import MediumRule

from .errors import OperationError


def refuse(material, media, *, accepted):
    """Refuse a medium the metal must never be kept in; return what to mind.

    `media` is {field name: Medium}.
    """
    cautions = []
    for field_name, medium in media.items():
        rule = MediumRule.objects.filter(material=material, medium=medium).first()
        if rule is None or rule.verdict == "fine":
            continue
        if rule.verdict == "never":
            raise OperationError(rule.reason, field_name)
        if rule.verdict == "avoid" and not accepted:
            raise OperationError(
                f"{rule.reason} Tick “go ahead all the same” if you have decided so.",
                field_name,
            )
        cautions.append(rule.reason)
    return cautions
