"""What the address of a plan says: for whom, with which vessels, how careful."""

from dataclasses import dataclass, replace

from django.urls import reverse

from inventory.calc.keys import keys
from inventory.operations import planning

# More than this at once is no plan that anybody reads.
MOST_REQUESTS = 50


@dataclass(frozen=True, slots=True)
class Choice:
    """Keys of requests or of a project, of vessels pinned and left out."""

    requests: tuple[int, ...] = ()
    project: int | None = None
    pinned: frozenset[int] = frozenset()
    left_out: frozenset[int] = frozenset()
    sure: bool = False

    @classmethod
    def read(cls, query):
        """Return what an address says. A vessel pinned and left out is left out."""
        left_out = frozenset(keys(query.getlist("leave")))
        return cls(
            requests=tuple(sorted(set(keys(query.getlist("request"))))),
            project=next(iter(keys(query.getlist("project")[:1])), None),
            pinned=frozenset(keys(query.getlist("pin"))) - left_out,
            left_out=left_out,
            sure=query.get("sure") == "1",
        )

    @property
    def asks(self):
        """Whether it says for whom; else the page offers what there is."""
        return bool(self.requests or self.project is not None)

    def found(self):
        """Return the requests that it names, or all pending ones of its project.

        In the order they are needed in; one more than are planned for at most, to say
        that there are more.
        """
        rows = planning.asked()
        if self.requests:
            rows = rows.filter(pk__in=self.requests)
        else:
            rows = rows.pending().filter(project=self.project)
        return list(rows.order_by("needed_by", "pk")[: MOST_REQUESTS + 1])

    @property
    def address(self):
        named = {"request": self.requests} if self.requests else {}
        if self.project is not None and not self.requests:
            named["project"] = self.project
        if self.pinned:
            named["pin"] = sorted(self.pinned)
        if self.left_out:
            named["leave"] = sorted(self.left_out)
        if self.sure:
            named["sure"] = 1
        return reverse("plan", query=named)

    def pin(self, key):
        left_out = self.left_out - {key}
        return replace(self, pinned=self.pinned | {key}, left_out=left_out).address

    def unpin(self, key):
        return replace(self, pinned=self.pinned - {key}).address

    def leave_out(self, key):
        pinned = self.pinned - {key}
        return replace(self, pinned=pinned, left_out=self.left_out | {key}).address

    def allow(self, key):
        return replace(self, left_out=self.left_out - {key}).address

    @property
    def other_way(self):
        """The same question, counting what is surely there, or what is expected."""
        return replace(self, sure=not self.sure).address

    @property
    def afresh(self):
        """The same question without pins and what was left out."""
        return replace(self, pinned=frozenset(), left_out=frozenset()).address
