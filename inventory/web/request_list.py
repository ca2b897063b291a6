"""The list of requests: its columns, and what it can be narrowed down by."""

import django_filters as filters
import django_tables2 as tables
from django.db.models import Q
from django.template.loader import render_to_string

from inventory.models import Material, MetalRequest, Project, RequestState
from inventory.web.tables import DayColumn, Table

STATES = (
    ("waiting", "To be answered or served"),
    ("asked", "To be answered"),
    ("served", "Booked or handed over"),
    ("ended", "Declined or taken back"),
    ("all", "All"),
)
COVERED = Q(missing_ug=0) | Q(missing_count=0)


def their_projects(request):
    return Project.objects.visible_to(request.user)


class RequestFilter(filters.FilterSet):
    state = filters.ChoiceFilter(
        choices=STATES, method="in_state", label="State", empty_label=None
    )
    project = filters.ModelChoiceFilter(
        queryset=their_projects, label="Project", empty_label="Any project"
    )
    material = filters.ModelChoiceFilter(
        queryset=Material.objects.all(),
        to_field_name="symbol",
        label="Metal",
        empty_label="Any metal",
    )

    def __init__(self, data=None, *args, request=None, **kwargs):
        # Inside, what is to be done is meant; a partner wants to see how all ended.
        if data is not None and not data.get("state"):
            data = data.copy()
            data["state"] = "all" if request.user.is_partner else "waiting"
        super().__init__(data, *args, request=request, **kwargs)

    def in_state(self, queryset, name, value):
        match value:
            case "waiting":
                return queryset.waiting()
            case "asked":
                return queryset.filter(state=RequestState.ASKED)
            case "served":
                return queryset.pending().filter(COVERED)
            case "ended":
                return queryset.exclude(pk__in=MetalRequest.objects.pending())
        return queryset


class RequestTable(Table):
    pk = tables.Column(
        linkify=True, verbose_name="Request", attrs={"td": {"class": "nowrap"}}
    )
    where = tables.Column(
        accessor="where", orderable=False, empty_values=(), verbose_name="Where it is"
    )
    material = tables.Column(accessor="material__name", verbose_name="Metal")
    amount = tables.Column(
        accessor="amount_words", orderable=False, verbose_name="How much"
    )
    needed_by = DayColumn(verbose_name="Needed by")
    project = tables.Column(accessor="project__title", verbose_name="Project")
    partner = tables.Column(accessor="partner__name", verbose_name="Partner")

    class Meta:
        model = MetalRequest
        fields = []
        empty_text = "No request matches."

    def render_pk(self, record):
        return str(record)

    def render_where(self, value):
        return render_to_string("components/where.html", {"where": value})
