"""What the lists can be narrowed down by."""

import django_filters as filters
from django.db.models import Q

from inventory.calc import codes
from inventory.models import Batch, BatchKind, Material, Medium, Place, VesselKind
from inventory.operations import addresses, labelling

STATES = (
    ("in-stock", "Holding metal"),
    ("laid-out", "Laid out, not tared"),
    ("tared", "Tared, empty"),
    ("spent", "Spent"),
    ("retired", "Retired"),
    ("label", "Label out of date"),
    ("all", "All"),
)


class VesselFilter(filters.FilterSet):
    q = filters.CharFilter(method="find", label="Code or glass mark")
    state = filters.ChoiceFilter(
        choices=STATES, method="in_state", label="State", empty_label=None
    )
    material = filters.ModelChoiceFilter(
        field_name="batch__material",
        queryset=Material.objects.all(),
        to_field_name="symbol",
        label="Metal",
        empty_label="Any metal",
    )
    kind = filters.ChoiceFilter(
        choices=VesselKind.choices, label="Kind", empty_label="Any kind"
    )
    medium = filters.ModelChoiceFilter(
        queryset=Medium.objects.exclude(key="air"),
        to_field_name="key",
        label="Kept in",
        empty_label="Any medium",
    )
    place = filters.ModelChoiceFilter(
        queryset=Place.objects.all(), label="Place", empty_label="Any place"
    )

    def __init__(self, data=None, *args, **kwargs):
        # Holding metal is the state people mean unless they say another; a search
        # for a code means any state.
        if data is not None and not data.get("state"):
            data = data.copy()
            data["state"] = "all" if data.get("q") else "in-stock"
        super().__init__(data, *args, **kwargs)

    def find(self, queryset, name, value):
        code = value.strip().upper()
        hosts = self.request and addresses.hosts(self.request.get_host())
        try:
            parsed = codes.parse_code(code, hosts)
        except codes.CodeError:
            parsed = None
        wanted = Q(glass_mark__icontains=value.strip())
        if parsed and parsed.number:
            wanted |= Q(batch__code=parsed.batch, number=parsed.number)
        elif parsed:
            wanted |= Q(batch__code=parsed.batch)
        else:
            wanted |= Q(code__startswith=code)
        return queryset.filter(wanted)

    def in_state(self, queryset, name, value):
        match value:
            case "in-stock":
                return queryset.in_stock()
            case "laid-out":
                return queryset.waiting().filter(is_tared=False)
            case "tared":
                return queryset.waiting().filter(is_tared=True)
            case "spent":
                return queryset.filter(spent_on__isnull=False, retired_on=None)
            case "retired":
                return queryset.filter(retired_on__isnull=False)
            case "label":
                return labelling.out_of_date(queryset)
        return queryset


class BatchFilter(filters.FilterSet):
    q = filters.CharFilter(method="find", label="Code, route or lot")
    material = filters.ModelChoiceFilter(
        queryset=Material.objects.all(),
        to_field_name="symbol",
        label="Metal",
        empty_label="Any metal",
    )
    kind = filters.ChoiceFilter(
        choices=BatchKind.choices, label="Origin", empty_label="Any origin"
    )

    class Meta:
        model = Batch
        fields = []

    def find(self, queryset, name, value):
        text = value.strip()
        return queryset.filter(
            Q(code__istartswith=text)
            | Q(route__icontains=text)
            | Q(lot__icontains=text)
        )
