"""What was charged into a batch, as the sums take it: its formulas read, or doubted."""

from dataclasses import dataclass

from inventory.calc import stoichiometry
from inventory.models import Charge


@dataclass(frozen=True, slots=True)
class ChargeLine:
    """A charge, its pure amount of substance in mol, and whether it is struck out.

    The amount is None if the formula cannot be read; `doubt` says what is wrong with
    it, for charges from before it would have been refused.
    """

    charge: Charge
    amount_mol: float | None
    struck: bool
    doubt: str = ""


def facts(charge):
    """Return a charge as the sums of stoichiometry take it."""
    return stoichiometry.ChargeFacts(
        formula=charge.formula,
        mass_ug=charge.mass_ug,
        u_mass_ug=charge.u_ug,
        purity=charge.purity,
        role=charge.role,
        u_purity=charge.u_purity,
    )


def stands(charge):
    """Return whether a charge counts: neither struck out nor striking another out."""
    return charge.withdraws_id is None and not hasattr(charge, "withdrawn_by")


def with_amount(charge):
    """Return a charge with its amount of substance, pure, if its formula can be read."""
    grams, doubt = charge.mass_ug * charge.purity * 1e-6, ""
    try:
        amount_mol = grams / stoichiometry.formula_mass(charge.formula)
    except stoichiometry.FormulaError as error:
        return ChargeLine(charge, None, not stands(charge), str(error))
    try:
        stoichiometry.refuse_unlikely(charge.formula)
    except stoichiometry.FormulaError as error:
        doubt = str(error)
    return ChargeLine(charge, amount_mol, not stands(charge), doubt)


def unread_words(charges):
    """Return which formulas cannot be read, and what that keeps from being known."""
    shown = ", ".join(f"“{charge.formula}”" for charge in charges)
    return (
        f"The formula {shown} of a charge cannot be read, so the theoretical metal and "
        "the yield are not known: strike the charge out and record it anew."
    )
