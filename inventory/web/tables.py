"""The lists: which columns, and how each kind of cell is shown and exported."""

import django_tables2 as tables
from django.db.models import QuerySet
from django.template.loader import render_to_string
from django.utils.html import format_html
from django.utils.text import capfirst

from inventory.calc.units import show_mass
from inventory.models import (
    Balance,
    Batch,
    Booking,
    Partner,
    Place,
    Project,
    User,
    Vessel,
)
from inventory.templatetags import ui

from .contents import drawing

RIGHT = {"th": {"class": "num"}, "td": {"class": "num"}}


class Table(tables.Table):
    """A table whose `?per_page=` cannot ask for the whole database."""

    per_page_max = 200

    def paginate(self, *args, per_page=None, **kwargs):
        per_page = max(1, min(per_page or self._meta.per_page, self.per_page_max))
        return super().paginate(*args, per_page=per_page, **kwargs)

    @property
    def order_by(self):
        return super().order_by

    @order_by.setter
    def order_by(self, value):
        """Order the rows; equals stand in the order of their keys, on every page."""
        tables.Table.order_by.fset(self, value)
        rows = self.data.data
        if value and isinstance(rows, QuerySet):
            self.data.data = rows.order_by(*rows.query.order_by, "pk")


class DayColumn(tables.DateColumn):
    """A day, on one line."""

    attrs = {"td": {"class": "nowrap"}}

    def __init__(self, **kwargs):
        super().__init__(format="j M Y", **kwargs)


class MassColumn(tables.Column):
    """Micrograms, shown with a unit; exported in grams, as a number."""

    attrs = RIGHT

    def render(self, value):
        return show_mass(value)

    def value(self, value):
        return f"{value / 1_000_000:.6f}"


class RemainingColumn(tables.Column):
    """What is left with its k = 2 uncertainty; exported in grams, as a number."""

    attrs = RIGHT

    def render(self, value, record):
        return ui.measured(value, (record.u2_ug2**0.5) if value else None)

    def value(self, value):
        return f"{value / 1_000_000:.6f}"


class SelectColumn(tables.Column):
    """A box to tick, large enough for a gloved finger."""

    def __init__(self, **kwargs):
        super().__init__(
            orderable=False, exclude_from_export=True, empty_values=(), **kwargs
        )

    def render(self, record):
        return format_html(
            '<label class="check"><input type="checkbox" name="vessel" value="{}">'
            '<span class="visually-hidden">Select {}</span></label>',
            record.pk,
            record,
        )


class FigureColumn(tables.Column):
    """The vessel, drawn small, filled to its true level."""

    def __init__(self, **kwargs):
        super().__init__(
            orderable=False, exclude_from_export=True, empty_values=(), **kwargs
        )

    def render(self, record, table):
        figure = drawing(record, table.facts, size="small")
        return render_to_string(
            "components/vessel_figure.html", ui.vessel_figure(**figure)
        )


class VesselTable(Table):
    select = SelectColumn(accessor="pk", verbose_name="Select")
    figure = FigureColumn(accessor="pk", verbose_name="")
    code = tables.Column(
        linkify=True,
        empty_values=(),
        order_by=("batch", "number", "id"),
        verbose_name="Vessel",
    )
    material = tables.Column(
        accessor="batch__material__name", verbose_name="Metal", empty_values=()
    )
    remaining_ug = RemainingColumn(verbose_name="Remaining")
    free_ug = MassColumn(verbose_name="Free")
    medium = tables.Column(accessor="medium__name", verbose_name="Kept in")
    place = tables.Column(accessor="place__name", empty_values=(), verbose_name="Place")
    filled_on = DayColumn(verbose_name="Filled")

    class Meta:
        model = Vessel
        fields = []
        sequence = [
            "select",
            "figure",
            "code",
            "material",
            "remaining_ug",
            "free_ug",
            "medium",
            "place",
            "filled_on",
        ]
        empty_text = "No vessel matches."

    def __init__(self, *args, facts, **kwargs):
        self.facts = facts
        super().__init__(*args, **kwargs)

    def render_code(self, record):
        return str(record)

    def value_code(self, record):
        return str(record)

    def render_material(self, record):
        return record.batch.material.name if record.batch_id else "—"

    def render_place(self, value, record):
        return f"with {record.custodian}" if record.custodian_id else value or "—"

    def value_place(self, value, record):
        return f"with {record.custodian}" if record.custodian_id else value or ""


class BatchTable(Table):
    code = tables.Column(linkify=True, verbose_name="Batch")
    material = tables.Column(accessor="material__name", verbose_name="Metal")
    kind = tables.Column(verbose_name="Origin")
    made_on = DayColumn(verbose_name="Date")
    vessel_count = tables.Column(verbose_name="Vessels", attrs=RIGHT)
    filled_ug = MassColumn(verbose_name="Left the batch")
    held_ug = MassColumn(verbose_name="Still held")

    class Meta:
        model = Batch
        fields = []
        empty_text = "No batch matches."


class ProjectTable(Table):
    title = tables.Column(linkify=True, verbose_name="Project")
    partners = tables.ManyToManyColumn(verbose_name="Partners", default="")
    ends_on = DayColumn(verbose_name="Ends")
    open_ug = MassColumn(verbose_name="Promised, all metals")

    class Meta:
        model = Project
        fields = []
        empty_text = "No project yet."


class PartnerTable(Table):
    name = tables.Column(
        linkify=("partner-change", [tables.A("pk")]), verbose_name="Partner"
    )
    address = tables.Column(default="—")
    email = tables.Column(verbose_name="E-mail", linkify=False, default="—")
    projects = tables.ManyToManyColumn(
        verbose_name="Projects", default="—", linkify_item=True, orderable=False
    )

    class Meta:
        model = Partner
        fields = []
        empty_text = "No partner yet."


class BookingTable(Table):
    pk = tables.Column(linkify=True, verbose_name="Booking")
    partner = tables.Column(default="—")
    purpose = tables.Column(verbose_name="For")
    metal_words = tables.Column(verbose_name="Metal")
    needed_by = DayColumn(verbose_name="Needed by")
    expires_on = DayColumn(verbose_name="Holds until")
    promised_words = tables.Column(verbose_name="Still promised")

    class Meta:
        model = Booking
        fields = []
        empty_text = "Nothing is booked for this project."
        orderable = False

    def render_pk(self, record):
        return str(record)

    def render_promised_words(self, value):
        return capfirst(value)


class PlaceTable(Table):
    name = tables.Column(linkify=True, verbose_name="Place")
    kind = tables.Column()
    within = tables.Column(accessor="within__name", verbose_name="Within")
    warmest_c = tables.Column(verbose_name="Warmest", attrs=RIGHT)
    vessel_count = tables.Column(verbose_name="Vessels with metal", attrs=RIGHT)

    class Meta:
        model = Place
        fields = []
        empty_text = "No place yet."

    def render_warmest_c(self, value):
        return f"{value:g} °C"


class BalanceTable(Table):
    name = tables.Column(
        linkify=("balance-change", [tables.A("pk")]), verbose_name="Balance"
    )
    readability_ug = MassColumn(verbose_name="Readability")
    repeatability_ug = MassColumn(verbose_name="Repeatability")
    nonlinearity_ug = MassColumn(verbose_name="Non-linearity")
    capacity_ug = MassColumn(verbose_name="Capacity")
    due_on = DayColumn(verbose_name="Calibration due")
    is_in_use = tables.BooleanColumn(verbose_name="In use", yesno="yes,no")

    class Meta:
        model = Balance
        fields = []
        empty_text = "No balance yet. Tares need one."


class PersonTable(Table):
    username = tables.Column(linkify=("person-change", [tables.A("pk")]))
    role = tables.Column()
    is_active = tables.BooleanColumn(verbose_name="May sign in", yesno="yes,no")
    last_login = tables.DateTimeColumn(format="j M Y, H:i", verbose_name="Last here")

    class Meta:
        model = User
        fields = []
        empty_text = "Nobody yet."
