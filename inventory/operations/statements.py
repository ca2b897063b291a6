"""What closing a batch would say: from a person's statement, the ledger and the run."""

from dataclasses import dataclass, field
from math import isfinite

from inventory.calc.uncertainty import UFloat, exact, nominal, spread, uncertain
from inventory.calc.units import show_mass
from inventory.models import Closing, Method, MovementKind, RunLog

from . import accounts, closing, making, progress, runs
from .errors import OperationError
from .readings import Facts

WAYS = (Method.RECEIVER, Method.WEIGHED, Method.VOLUME, Method.STATED)


@dataclass(frozen=True, slots=True)
class Statement:
    """What a person states when a batch is closed. Masses in µg.

    `method` is one of WAYS: from the fillings of receivers, a mass that was weighed
    (`collected_ug`), the last receiver reading of the run, or the sum of the
    fillings. `lost_where` says where the loss stayed, `reason` what needs a reason.
    """

    method: str
    collected_ug: int | None = None
    u_collected_ug: int = 0
    lost_ug: int = 0
    u_lost_ug: int = 0
    lost_where: str = ""
    reason: str = ""


@dataclass(frozen=True, slots=True)
class DrawnUp:
    """What closing a batch would put on record, and what it still asks for.

    `rest_ug` is what the ledger then says the batch gave to nowhere: below zero,
    more was filled than collected. `wants` is why a reason is needed, or "";
    `cautions` are what else speaks against the numbers.
    """

    closing: Closing
    account: accounts.Account
    rest_ug: int
    u_rest_ug: int
    wants: str = ""
    cautions: list[str] = field(default_factory=list)

    @property
    def over_ug(self):
        """How much more was filled than collected."""
        return max(-self.rest_ug, 0)


def work_out(batch, statement):
    """Return what closing `batch` so would record, or refuse. Records nothing."""
    closing.refuse_closed(batch)
    rows = making.movements([batch])[batch.pk]
    made = making.of({batch.pk: rows})[batch.pk]
    lost = uncertain(statement.lost_ug, statement.u_lost_ug, "stated as lost")
    collected = collected_of(batch, made, statement, lost)
    refuse_losses(statement, collected)
    draft = Closing(
        batch=batch,
        collected_ug=round(nominal(collected)),
        u_collected_ug=round(spread(collected)),
        method=statement.method,
        lost_ug=statement.lost_ug,
        u_lost_ug=statement.u_lost_ug,
        reason=statement.reason,
    )
    charges = list(batch.charges.filter(withdraws=None).select_related("withdrawn_by"))
    account = accounts.drawn_up(batch, charges, made, rows, draft)
    rest = exact(collected - made.poured - lost)
    return DrawnUp(
        closing=draft,
        account=account,
        rest_ug=draft.collected_ug - round(nominal(made.poured)) - statement.lost_ug,
        u_rest_ug=round(spread(rest)),
        wants=wants(account),
        cautions=[*cautions(batch, account, rows), *emptied(batch, statement)],
    )


def collected_of(batch, made, statement, lost):
    """Return how much was collected, as a person says it is known; or refuse."""
    match statement.method:
        case Method.RECEIVER if made.receivers:
            return made.poured
        case Method.RECEIVER:
            raise OperationError(
                "No vessel of this batch was weighed with the metal and emptied into "
                "others: say how else it is known.",
                "method",
            )
        case Method.WEIGHED if statement.collected_ug is None:
            raise OperationError("Give the mass that was weighed.", "collected")
        case Method.WEIGHED:
            return uncertain(
                statement.collected_ug, statement.u_collected_ug, "collected"
            )
        case Method.VOLUME:
            return by_volume(batch)
        case Method.STATED:
            return exact(made.poured + lost)
    raise OperationError("Choose how it is known what was collected.", "method")


def by_volume(batch) -> UFloat:
    """Return what the run's receiver showed at last and before it was emptied."""
    reading = last_reading(batch)
    if reading is None:
        raise OperationError(
            "No receiver reading with its temperature stands in the run's log.",
            "method",
        )
    metal = Facts.read().material(batch.material)
    level = progress.level_of(reading, runs.of(batch), metal)
    if level.problem:
        raise OperationError(level.problem, "method")
    if (whole := progress.all_fillings(batch, runs.of(batch), metal)).emptied:
        return whole.collected
    return uncertain(level.mass_ug, level.u_ug, "collected")


def emptied(batch, statement):
    """Return the caution that a receiver's level fell, if that is what is counted."""
    if statement.method != Method.VOLUME:
        return []
    metal = Facts.read().material(batch.material)
    whole = progress.all_fillings(batch, runs.of(batch), metal)
    if not whole.emptied:
        return []
    newest, all_of_it = nominal(whole.in_receiver), nominal(whole.collected)
    return [
        f"The run's receiver shows {show_mass(newest)} at last and showed less than "
        "before during the run. It counts as emptied wholly where it fell by half, "
        f"which makes {show_mass(all_of_it)} in all. If some stayed in it, or a reading is wrong, "
        "that is not what was collected: look at the readings."
    ]


def last_reading(batch):
    """Return the last standing run reading that tells what the receiver held."""
    told = batch.run_readings.standing().exclude(receiver_ul=None)
    return told.exclude(receiver_c=None).in_order().last()


def refuse_losses(statement, collected):
    """Refuse a loss without a place, and one larger than all there was."""
    if statement.lost_ug and not statement.lost_where:
        raise OperationError("Say where it was lost.", "lost_where")
    if statement.lost_ug > nominal(collected):
        raise OperationError(
            f"Only {show_mass(nominal(collected))} was collected: no more than that "
            "can be lost.",
            "lost",
        )


def wants(account):
    """Return why closing needs a reason, in a sentence, or nothing."""
    if not account.filled_ug:
        return "Nothing was filled into a vessel: say why."
    if account.balance and account.balance.verdict == "investigate":
        ratio = account.balance.ratio
        times = f"{ratio:.1f} times" if isfinite(ratio) else "beyond"
        return (
            f"What is not accounted for is {times} its uncertainty: say what was "
            "looked at, and what was found."
        )
    if account.too_much_words:
        return "This is more metal than the charges hold: say what was looked at."
    if account.unchecked and not account.balance:
        return f"{account.verdict_words.removesuffix('.')}: say why that will do."
    if account.unweighed:
        few = ", ".join(account.unweighed[:5])
        more = " and others" if len(account.unweighed) > 5 else ""
        return f"{few}{more} was filled without being weighed: say why that will do."
    return ""


def cautions(batch, account, rows):
    """Return what speaks against the numbers, though it does not forbid closing."""
    found = []
    if account.balance and account.balance.verdict == "check":
        found.append(
            "What is not accounted for is more than twice its uncertainty: check the "
            "readings before you close."
        )
    if account.unchecked and account.balance:
        found.append(
            f"{', '.join(account.unchecked)} was not weighed after it was emptied: "
            "what is missing there shows nowhere."
        )
    if receiver := filled_twice(batch, rows):
        found.append(
            f"{receiver} is the run's receiver and holds what was put into it, and "
            "other vessels are recorded as filled from the batch. If they were filled "
            "from the receiver, the metal counts twice: correct those fillings, and "
            "record a transfer."
        )
    return found


def filled_twice(batch, rows):
    """Return the run's receiver if metal in it may be counted in vessels again."""
    run = RunLog.objects.filter(batch=batch).select_related("receiver").first()
    if run is None or run.receiver_id is None:
        return None
    filled = {r["to_vessel_id"] for r in rows if r["kind"] == MovementKind.FILL}
    gave = {r["from_vessel_id"] for r in rows if r["kind"] == MovementKind.TRANSFER}
    twice = run.receiver_id in filled - gave and len(filled) > 1
    return run.receiver if twice else None
