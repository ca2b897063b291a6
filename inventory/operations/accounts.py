"""The account of a batch: what went in, what came of it, and what is missing.

The batch's page, its certificate and the comparison of batches all show these numbers.
"""

from collections import defaultdict
from dataclasses import dataclass, field, replace

from inventory.calc import material_balance, stoichiometry
from inventory.calc.uncertainty import exact, nominal, spread, uncertain
from inventory.calc.units import show_equivalents, show_yield
from inventory.models import BatchKind, Charge, Closing, End, Method

from . import charged, evidence, making
from . import closing as closings

NONE = exact(0.0)
# Two sums of the same fillings differ by less than this, in µg: there is no test.
NOTHING = 0.5

QUIET = (
    "It adds up: what is not accounted for is within twice its uncertainty ({:.1f} u)."
)
UNCHECKED = (
    "{} was not weighed after it was emptied, so nothing tells whether metal is "
    "missing."
)
NO_VERDICT = "Nothing was weighed besides the vessels, so nothing tells whether metal is missing."


@dataclass(frozen=True, slots=True)
class Account:
    """What is known about a batch's metal. Masses in µg, each `u_…` with k = 1.

    Theoretical is all of the metal in the sources; limited is what source and
    reductant together can give. Filled is what went into vessels for good: metal
    that went through a receiver counts once. Lost and unaccounted are of the making.
    Of what was filled, some is held, used or destroyed, some was lost since, or
    found missing (below zero: found over) by later weighings.
    """

    charges: list[charged.ChargeLine] = field(default_factory=list)
    unread: str = ""
    theoretical_ug: float = 0.0
    u_theoretical_ug: float = 0.0
    theoretical_mol: float = 0.0
    limiting: str = ""
    limiting_note: str = ""
    limited_ug: float = 0.0
    u_limited_ug: float = 0.0
    excess: float | None = None
    u_excess: float = 0.0
    excess_problem: str = ""
    byproduct_ug: float | None = None
    u_byproduct_ug: float = 0.0
    byproduct_formula: str = ""
    collected_ug: float = 0.0
    u_collected_ug: float = 0.0
    collected_words: str = ""
    filled_ug: float = 0.0
    u_filled_ug: float = 0.0
    yield_fraction: float | None = None
    u_yield: float = 0.0
    held_ug: int = 0
    used_ug: int = 0
    lost_ug: float = 0.0
    u_lost_ug: float = 0.0
    destroyed_ug: int = 0
    unaccounted_ug: float = 0.0
    u_unaccounted_ug: float = 0.0
    lost_since_ug: int = 0
    missing_since_ug: int = 0
    balance: material_balance.Balance | None = None
    closing: Closing | None = None
    unweighed: list[str] = field(default_factory=list)
    unchecked: list[str] = field(default_factory=list)
    purity: evidence.Purity | None = None

    @property
    def yield_words(self):
        """The yield in per cent with its k = 2 uncertainty, or "" without sources."""
        if self.yield_fraction is None:
            return ""
        return show_yield(self.yield_fraction, self.u_yield)

    @property
    def too_much_words(self):
        """What to say of a yield above everything charged, by more than its doubt."""
        over = (self.yield_fraction or 0) - 1
        if over <= 0 or over <= 2 * self.u_yield:
            return ""
        return (
            "This is more metal than the charges hold: a charge, a purity or a "
            "weighing is wrong. Do not go by these numbers."
        )

    @property
    def verdict_words(self):
        """Whether the metal adds up, or why nothing says so; "" before any is filled."""
        if self.balance:
            if self.balance.verdict == "quiet":
                return QUIET.format(self.balance.ratio)
            return self.balance.sentence
        if self.unchecked:
            return UNCHECKED.format(", ".join(self.unchecked))
        return NO_VERDICT if self.filled_ug else ""

    @property
    def excess_words(self):
        """How much reductant there was, why that is not known, or ""."""
        if self.excess is None:
            return self.excess_problem
        return show_equivalents(self.excess, self.u_excess)


def of(batch):
    """Return the Account of one batch, its purity included."""
    account = of_all([batch])[batch.pk]
    return replace(account, purity=evidence.purity_of(batch))


def of_all(batches):
    """Return {batch key: Account} of batches with their materials, without purities.

    However many there are, it takes the same number of questions.
    """
    charged, closed = defaultdict(list), closings.of_all(batches)
    rows = Charge.objects.filter(batch__in=batches, withdraws=None)
    for charge in rows.select_related("withdrawn_by__entry"):
        charged[charge.batch_id].append(charge)
    moved = making.movements(batches)
    made = making.of(moved)
    return {
        batch.pk: drawn_up(
            batch,
            charged[batch.pk],
            made[batch.pk],
            moved[batch.pk],
            closed.get(batch.pk),
        )
        for batch in batches
    }


def drawn_up(batch, charges, made, rows, closing):
    """Return the Account of one batch from its charges and its movements."""
    possible, theoretical = chemistry(charges, batch.material.symbol)
    let_go = lost_at(closing)
    collected, words = collected_of(batch, made, closing, let_go)
    lost = exact(made.lost + let_go)
    share = None
    if nominal(theoretical) > 0 and nominal(collected):
        share = stoichiometry.yield_of(collected, theoretical)
    balance = material_balance.balance(collected, made.vessels, lost, made.straight)
    tested = spread(balance.muf_ug) > NOTHING and tells(balance, made, closing)
    return Account(
        **possible,
        collected_ug=nominal(collected),
        u_collected_ug=spread(collected),
        collected_words=words,
        filled_ug=nominal(made.filled),
        u_filled_ug=spread(made.filled),
        yield_fraction=None if share is None else nominal(share),
        u_yield=0.0 if share is None else spread(share),
        lost_ug=nominal(lost),
        u_lost_ug=spread(lost),
        unaccounted_ug=nominal(balance.muf_ug),
        u_unaccounted_ug=spread(balance.muf_ug),
        balance=balance if tested else None,
        closing=closing,
        unweighed=made.unweighed,
        unchecked=made.unchecked,
        **whereabouts(made, rows),
    )


def tells(balance, made, closing):
    """Return whether a balance says anything of what is missing.

    What a receiver still holds is reckoned from what left it until it is weighed: of
    the fillings alone, none is missing then, by construction. What others lack stays.
    """
    apart = closing and closing.method in (Method.WEIGHED, Method.VOLUME)
    return apart or not made.unchecked or balance.verdict != "quiet"


def lost_at(closing):
    """Return what was stated as lost when the batch was closed."""
    if closing is None:
        return NONE
    return uncertain(closing.lost_ug, closing.u_lost_ug, "stated as lost")


def collected_of(batch, made, closing, let_go):
    """Return how much was collected, and how that is known, in words.

    Where the fillings themselves say it, as for a batch that is open, nothing was
    weighed besides: but for receivers, which were weighed before they were emptied.
    """
    if closing is None:
        plain = "as received" if batch.kind == BatchKind.BOUGHT else "as filled"
        return made.poured, made.weighed_in or plain
    match closing.method:
        case Method.RECEIVER:
            return made.poured, made.weighed_in
        case Method.STATED:
            return exact(made.poured + let_go), "the sum of the fillings"
    found = uncertain(closing.collected_ug, closing.u_collected_ug, "collected")
    by_volume = closing.method == Method.VOLUME
    return found, "by volume in the receiver" if by_volume else "weighed"


def whereabouts(made, rows):
    """Return where what was filled is now, and what was found of it since."""
    gone, held_ug = defaultdict(int), 0
    for row in rows:
        if row["to_vessel_id"]:
            held_ug += row["mass_ug"]
            gone[row["from_end"]] -= row["mass_ug"]
        if row["from_vessel_id"]:
            held_ug -= row["mass_ug"]
            gone[row["to_end"]] += row["mass_ug"]
    return {
        "held_ug": held_ug,
        "used_ug": gone[End.EXPERIMENT],
        "destroyed_ug": gone[End.DESTROYED],
        "lost_since_ug": round(gone[End.LOSS] - nominal(made.lost)),
        "missing_since_ug": round(gone[End.UNACCOUNTED] - nominal(made.missing)),
    }


def chemistry(charges, symbol):
    """Return (fields of an Account, the theoretical metal) of what was charged."""
    lines = [charged.with_amount(charge) for charge in charges]
    standing = [line for line in lines if not line.struck]
    if unread := [line.charge for line in standing if line.amount_mol is None]:
        return {"charges": lines, "unread": charged.unread_words(unread)}, NONE
    counted = [charged.facts(line.charge) for line in standing]
    theory = stoichiometry.theoretical_metal(counted, symbol)
    fields = {
        "charges": lines,
        "theoretical_ug": nominal(theory.mass_ug),
        "u_theoretical_ug": spread(theory.mass_ug),
        "theoretical_mol": theory.amount_mol,
    }
    try:
        fields |= reaction(counted, symbol)
    except stoichiometry.FormulaError as error:
        fields["excess_problem"] = str(error)
    return fields, theory.mass_ug


def reaction(counted, symbol):
    """Return what limits the reaction, the excess, and what is left behind."""
    found = {}
    limit = stoichiometry.limiting(counted, symbol)
    if nominal(limit.mass_ug) > 0:
        found |= {
            "limiting": limit.name,
            "limiting_note": limit.note,
            "limited_ug": nominal(limit.mass_ug),
            "u_limited_ug": spread(limit.mass_ug),
        }
    excess = stoichiometry.excess(counted, symbol)
    if excess is not None and nominal(excess):
        found |= {"excess": nominal(excess), "u_excess": spread(excess)}
    if left := stoichiometry.by_product(counted, symbol):
        found |= {
            "byproduct_ug": nominal(left.mass_ug),
            "u_byproduct_ug": spread(left.mass_ug),
            "byproduct_formula": left.formula,
        }
    return found
