"""How the mass in a vessel was known when it was handed over, in words.

It was weighed only if the last thing that touched its metal was a weighing that tells
of the metal. The hand-over sheet and the project's report say the same.
"""

from dataclasses import dataclass, field

from inventory.models import Event, Method, Movement, MovementKind

from . import log

MEASURED = "measured"
STATED = "stated, not measured"
BY_RECORD = "by the record"
REPORTED = "reported, not measured"
SOURCES = {
    Method.STATED: STATED,
    Method.WHOLE: BY_RECORD,
    Method.REPORTED: REPORTED,
}
PARTS = ("metal", "liquid", "tare")


@dataclass(slots=True)
class Story:
    """What a vessel's events say of its metal, read one by one in their order.

    `loose` are the parts that nobody knew until the next reading, which then tells
    of them: of the metal if it is one of them, or if there are none.
    """

    filling: int | None = None  # its entry
    filled_at: object = None
    loose: set = field(default_factory=set)
    weighed: tuple | None = None  # (when, entry)
    changed: tuple | None = None  # (when, kind of movement) since
    was_read: bool = False  # since then, by a reading that tells not of the metal
    is_reported: bool = False

    def take_in(self, entry, kind, facts, when, moved, method):
        if kind == "start":
            self.__init__(filling=entry, filled_at=when)
            self.loose = loose_parts(facts.get("unknown") or {})
        elif kind == "observe":
            self.read(entry, when)
        else:
            if kind == "unknown":
                self.loose |= loose_parts(facts)
            if moved and entry != self.filling:
                self.changed, self.was_read = (when, moved), False
                self.is_reported |= method == Method.REPORTED

    def read(self, entry, when):
        if not self.loose or "metal" in self.loose:
            self.weighed, self.changed, self.is_reported = (when, entry), None, False
        self.was_read, self.loose = True, set()

    def told(self, method):
        """Return `found` and `source`; the vessel was filled by `method`."""
        source = MEASURED if self.weighed else SOURCES.get(method, MEASURED)
        if self.changed:
            when, moved = self.changed
            words = f"by difference after {name_of(moved, self.is_reported)} on "
            words += day(when)
            if not self.was_read:
                words += ", not weighed again"
            return {"found": words, "source": REPORTED if self.is_reported else source}
        if self.weighed:
            when, entry = self.weighed
            words = "weighed when filled," if entry == self.filling else "weighed on"
            return {"found": f"{words} {day(when)}", "source": source}
        words = f"{Method(method).label} when filled, {day(self.filled_at)}"
        return {"found": words, "source": source}


def loose_parts(facts):
    """Return the parts that an Unknown, by its facts, leaves undecided."""
    return {
        part
        for part in PARTS
        if facts.get(f"{part}_low_ug", 0) < facts.get(f"{part}_high_ug", 0)
    }


def name_of(moved, is_reported):
    if is_reported:
        return "a reported use"
    return "a transfer" if moved == MovementKind.TRANSFER else "a withdrawal"


def day(when):
    return f"{log.local_date(when):%-d %b %Y}"


def when_handed(lines):
    """Return {key of a line: `found` and `source`}; always two questions."""
    vessels = {line.vessel_id for line in lines}
    events = {key: [] for key in vessels}
    rows = Event.objects.standing().filter(vessel__in=vessels).in_order()
    for vessel, *about in rows.values_list(
        "vessel",
        "entry",
        "kind",
        "facts",
        "happened_at",
        "movement__kind",
        "movement__method",
    ):
        events[vessel].append(about)
    kinds = (MovementKind.FILL, MovementKind.TRANSFER)
    filled = Movement.objects.standing().filter(to_vessel__in=vessels, kind__in=kinds)
    methods = dict(filled.order_by("id").values_list("to_vessel", "method"))
    found = {}
    for line in lines:
        story = Story()
        for entry, *about in events[line.vessel_id]:
            if entry < line.entry_id:
                story.take_in(entry, *about)
        found[line.pk] = story.told(methods.get(line.vessel_id, Method.STATED))
    return found
