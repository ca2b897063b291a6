"""What a batch's page tells: what went in, what came out, and the yield."""

from django.db.models import Sum

from inventory.calc import stoichiometry
from inventory.calc.uncertainty import nominal, spread, uncertain
from inventory.models import Movement


def charge_facts(charge):
    return stoichiometry.ChargeFacts(
        formula=charge.formula,
        mass_ug=charge.mass_ug,
        u_mass_ug=charge.u_ug,
        purity=charge.purity,
        role=charge.role,
    )


def stands(charge):
    """Return whether a charge counts: neither struck out nor striking another out."""
    return charge.withdraws_id is None and not hasattr(charge, "withdrawn_by")


def of_batch(batch):
    """Return the charges with their amounts, theoretical metal, excess and yield.

    `batch` comes from `with_filled`. Masses in µg, each with its k = 1.
    """
    charges = list(
        batch.charges.filter(withdraws=None).select_related("withdrawn_by__entry")
    )
    counted = [charge_facts(charge) for charge in charges if stands(charge)]
    symbol = batch.material.symbol
    theory = stoichiometry.theoretical_metal(counted, symbol)
    found = {
        "charges": [with_amount(charge) for charge in charges],
        "theoretical_ug": nominal(theory.mass_ug),
        "u_theoretical_ug": spread(theory.mass_ug),
        "theoretical_mol": theory.amount_mol,
    }
    try:
        if excess := stoichiometry.reductant_excess(counted, symbol):
            found["reductant"] = f"{excess:.2f} equivalents"
    except stoichiometry.FormulaError as error:
        found["reductant"] = str(error)
    if found["theoretical_ug"] and batch.filled_ug:
        filled = uncertain(batch.filled_ug, batch.u2_filled**0.5, "filled")
        share = stoichiometry.yield_of(filled, theory.mass_ug)
        found["yield"] = f"{share.n * 100:.2f} % ± {share.s * 200:.2f} %"
    return found


def with_amount(charge):
    """Return a charge with its amount of substance, pure, in mol."""
    grams = charge.mass_ug * charge.purity * 1e-6
    return {
        "charge": charge,
        "amount_mol": grams / stoichiometry.formula_mass(charge.formula),
        "struck": not stands(charge),
    }


def ends(batch):
    """Return {end: µg} of what left the batch's vessels for good.

    What weighings found over the record is taken off what they found missing.
    """
    moved = Movement.objects.standing().order_by()
    out = moved.filter(from_vessel__batch=batch).values_list("to_end")
    back = moved.filter(to_vessel__batch=batch).values_list("from_end")
    gone = dict(out.annotate(Sum("mass_ug")))
    for end, mass_ug in back.annotate(Sum("mass_ug")):
        gone[end] = gone.get(end, 0) - mass_ug
    return gone
