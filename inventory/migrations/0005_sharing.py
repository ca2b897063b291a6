"""Sharing: partners, shares, requests, hand-overs, inspections; and their triggers."""

import importlib

import django.db.models.deletion
import django.db.models.functions.datetime
from django.conf import settings
from django.db import migrations, models

append_only = importlib.import_module("inventory.migrations.0002_append_only")
batch_record = importlib.import_module("inventory.migrations.0003_batch_record")

ONLY_ONCE = {
    "inventory_requeststep": ("id",),
    "inventory_handover": ("id",),
    "inventory_handoverline": (
        "id",
        "booking_line_id",
        ("hand_over_id", "vessel_id"),
    ),
    "inventory_return": ("id", "movement_id"),
    "inventory_inspection": ("id",),
}


def triggers(vendor):
    """Return [(create, drop)] for the tables that this migration adds."""
    return append_only.keeping(vendor, ONLY_ONCE)


def older_triggers():
    return [*append_only.triggers("sqlite"), *batch_record.triggers("sqlite")]


def set_aside(apps, editor):
    """Drop SQLite's triggers, which go with the tables that it lays out anew."""
    if editor.connection.vendor == "sqlite":
        append_only.run(editor, [drop for _, drop in older_triggers()])


def put_back(apps, editor):
    if editor.connection.vendor == "sqlite":
        append_only.run(editor, [create for create, _ in older_triggers()])


def create(apps, editor):
    put_back(apps, editor)
    append_only.run(
        editor, [create for create, _ in triggers(editor.connection.vendor)]
    )


def drop(apps, editor):
    append_only.run(
        editor, [drop for _, drop in reversed(triggers(editor.connection.vendor))]
    )
    set_aside(apps, editor)


class Migration(migrations.Migration):
    dependencies = [
        ("inventory", "0004_labels"),
    ]

    operations = [
        migrations.RunPython(set_aside, put_back),
        migrations.CreateModel(
            name="CalendarLink",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True,
                        primary_key=True,
                        serialize=False,
                        verbose_name="ID",
                    ),
                ),
                (
                    "digest",
                    models.CharField(editable=False, max_length=64, unique=True),
                ),
                (
                    "made_at",
                    models.DateTimeField(
                        db_default=django.db.models.functions.datetime.Now(),
                        editable=False,
                    ),
                ),
                ("revoked_at", models.DateTimeField(editable=False, null=True)),
            ],
            options={
                "ordering": ["-id"],
            },
        ),
        migrations.CreateModel(
            name="HandOver",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True,
                        primary_key=True,
                        serialize=False,
                        verbose_name="ID",
                    ),
                ),
                ("handed_at", models.DateTimeField()),
                (
                    "carried",
                    models.CharField(
                        blank=True, max_length=200, verbose_name="how it travels"
                    ),
                ),
                ("note", models.CharField(blank=True, max_length=300)),
            ],
            options={
                "ordering": ["-id"],
                "abstract": False,
                "default_permissions": ("add", "view"),
            },
        ),
        migrations.CreateModel(
            name="HandOverLine",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True,
                        primary_key=True,
                        serialize=False,
                        verbose_name="ID",
                    ),
                ),
                ("mass_ug", models.BigIntegerField()),
                ("u_ug", models.BigIntegerField()),
                ("return_by", models.DateField(null=True)),
                (
                    "expected_ug",
                    models.BigIntegerField(null=True, verbose_name="expected back"),
                ),
            ],
            options={
                "ordering": ["id"],
                "abstract": False,
                "default_permissions": ("add", "view"),
            },
        ),
        migrations.CreateModel(
            name="Inspection",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True,
                        primary_key=True,
                        serialize=False,
                        verbose_name="ID",
                    ),
                ),
                ("looked_on", models.DateField()),
                (
                    "seal",
                    models.CharField(
                        choices=[
                            ("tight", "Tight"),
                            ("doubtful", "Doubtful"),
                            ("leaks", "Leaks"),
                        ],
                        max_length=10,
                    ),
                ),
                (
                    "look",
                    models.CharField(
                        blank=True, max_length=200, verbose_name="how the metal looks"
                    ),
                ),
                ("next_on", models.DateField(null=True, verbose_name="look again on")),
                ("note", models.CharField(blank=True, max_length=300)),
            ],
            options={
                "ordering": ["-id"],
                "abstract": False,
                "default_permissions": ("add", "view"),
            },
        ),
        migrations.CreateModel(
            name="MetalRequest",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True,
                        primary_key=True,
                        serialize=False,
                        verbose_name="ID",
                    ),
                ),
                ("mass_ug", models.BigIntegerField(null=True, verbose_name="mass")),
                (
                    "vessel_count",
                    models.PositiveIntegerField(null=True, verbose_name="vessels"),
                ),
                (
                    "is_whole",
                    models.BooleanField(default=False, verbose_name="whole vessels"),
                ),
                ("smallest_purity", models.FloatField(null=True)),
                ("needed_by", models.DateField()),
                ("asked", models.CharField(max_length=60, verbose_name="asked for")),
                ("purpose", models.CharField(max_length=300)),
                (
                    "state",
                    models.CharField(
                        choices=[
                            ("asked", "Asked"),
                            ("granted", "Granted"),
                            ("declined", "Declined"),
                            ("withdrawn", "Taken back"),
                        ],
                        default="asked",
                        max_length=10,
                    ),
                ),
            ],
            options={
                "ordering": ["needed_by", "id"],
            },
        ),
        migrations.CreateModel(
            name="Partner",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True,
                        primary_key=True,
                        serialize=False,
                        verbose_name="ID",
                    ),
                ),
                ("name", models.CharField(max_length=120, unique=True)),
                ("address", models.CharField(blank=True, max_length=300)),
                (
                    "email",
                    models.EmailField(
                        blank=True,
                        max_length=254,
                        verbose_name="e-mail of the organisation",
                    ),
                ),
                ("note", models.CharField(blank=True, max_length=300)),
            ],
            options={
                "ordering": ["name"],
            },
        ),
        migrations.CreateModel(
            name="RequestStep",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True,
                        primary_key=True,
                        serialize=False,
                        verbose_name="ID",
                    ),
                ),
                ("mass_ug", models.BigIntegerField(null=True, verbose_name="mass")),
                (
                    "vessel_count",
                    models.PositiveIntegerField(null=True, verbose_name="vessels"),
                ),
                (
                    "is_whole",
                    models.BooleanField(default=False, verbose_name="whole vessels"),
                ),
                ("smallest_purity", models.FloatField(null=True)),
                ("needed_by", models.DateField()),
                (
                    "kind",
                    models.CharField(
                        choices=[
                            ("asked", "Asked"),
                            ("granted", "Granted as asked"),
                            ("changed", "Granted with changes"),
                            ("declined", "Declined"),
                            ("withdrawn", "Taken back"),
                        ],
                        max_length=10,
                    ),
                ),
                ("reason", models.CharField(blank=True, max_length=300)),
            ],
            options={
                "ordering": ["id"],
                "abstract": False,
                "default_permissions": ("add", "view"),
            },
        ),
        migrations.CreateModel(
            name="Return",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True,
                        primary_key=True,
                        serialize=False,
                        verbose_name="ID",
                    ),
                ),
                (
                    "kind",
                    models.CharField(
                        choices=[
                            ("empty", "Came back empty"),
                            ("partly", "Came back, weighed again"),
                            ("reported", "Use reported, not measured"),
                        ],
                        max_length=10,
                    ),
                ),
                ("used_ug", models.BigIntegerField()),
                ("u_ug", models.BigIntegerField()),
                ("is_back", models.BooleanField()),
                ("happened_at", models.DateTimeField()),
                ("note", models.CharField(blank=True, max_length=300)),
            ],
            options={
                "ordering": ["id"],
                "abstract": False,
                "default_permissions": ("add", "view"),
            },
        ),
        migrations.CreateModel(
            name="Share",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True,
                        primary_key=True,
                        serialize=False,
                        verbose_name="ID",
                    ),
                ),
                (
                    "mass_ug",
                    models.BigIntegerField(blank=True, null=True, verbose_name="mass"),
                ),
                (
                    "vessel_count",
                    models.PositiveIntegerField(
                        blank=True, null=True, verbose_name="vessels"
                    ),
                ),
                ("smallest_purity", models.FloatField(blank=True, null=True)),
                ("note", models.CharField(blank=True, max_length=300)),
            ],
            options={
                "ordering": ["project", "partner__name", "material"],
            },
        ),
        migrations.RemoveConstraint(
            model_name="closing",
            name="closing_method_known",
        ),
        migrations.RemoveConstraint(
            model_name="movement",
            name="movement_method_known",
        ),
        migrations.AddField(
            model_name="booking",
            name="beyond_share",
            field=models.CharField(blank=True, max_length=300),
        ),
        migrations.AddField(
            model_name="booking",
            name="expires_on",
            field=models.DateField(null=True),
        ),
        migrations.AddField(
            model_name="bookingline",
            name="picked_by",
            field=models.ForeignKey(
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="picked_lines",
                to="inventory.logentry",
            ),
        ),
        migrations.AddField(
            model_name="membership",
            name="role",
            field=models.CharField(
                choices=[
                    ("lead", "Leads: asks, and hears of every step"),
                    ("asks", "Asks for metal"),
                    ("sees", "Sees only"),
                ],
                default="asks",
                max_length=10,
            ),
        ),
        migrations.AddField(
            model_name="vessel",
            name="heel_ug",
            field=models.BigIntegerField(
                default=0, verbose_name="what cannot be got out"
            ),
        ),
        migrations.AlterField(
            model_name="closing",
            name="method",
            field=models.CharField(
                choices=[
                    ("weighed", "weighed"),
                    ("volume", "by volume"),
                    ("receiver", "weighed in the receiver"),
                    ("pieces", "by counted pieces"),
                    ("whole", "the whole contents"),
                    ("stated", "as stated"),
                    ("reported", "as the partner reported, not measured"),
                ],
                max_length=10,
            ),
        ),
        migrations.AlterField(
            model_name="movement",
            name="method",
            field=models.CharField(
                choices=[
                    ("weighed", "weighed"),
                    ("volume", "by volume"),
                    ("receiver", "weighed in the receiver"),
                    ("pieces", "by counted pieces"),
                    ("whole", "the whole contents"),
                    ("stated", "as stated"),
                    ("reported", "as the partner reported, not measured"),
                ],
                max_length=10,
            ),
        ),
        migrations.AddConstraint(
            model_name="closing",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    (
                        "method__in",
                        [
                            "weighed",
                            "volume",
                            "receiver",
                            "pieces",
                            "whole",
                            "stated",
                            "reported",
                        ],
                    )
                ),
                name="closing_method_known",
            ),
        ),
        migrations.AddConstraint(
            model_name="movement",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    (
                        "method__in",
                        [
                            "weighed",
                            "volume",
                            "receiver",
                            "pieces",
                            "whole",
                            "stated",
                            "reported",
                        ],
                    )
                ),
                name="movement_method_known",
            ),
        ),
        migrations.AddField(
            model_name="calendarlink",
            name="user",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.CASCADE,
                related_name="calendar_links",
                to=settings.AUTH_USER_MODEL,
            ),
        ),
        migrations.AddField(
            model_name="handover",
            name="entry",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT,
                related_name="hand_overs",
                to="inventory.logentry",
            ),
        ),
        migrations.AddField(
            model_name="handover",
            name="project",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT,
                related_name="hand_overs",
                to="inventory.project",
            ),
        ),
        migrations.AddField(
            model_name="handoverline",
            name="booking_line",
            field=models.OneToOneField(
                on_delete=django.db.models.deletion.PROTECT,
                related_name="hand_over_line",
                to="inventory.bookingline",
            ),
        ),
        migrations.AddField(
            model_name="handoverline",
            name="entry",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT,
                related_name="hand_over_lines",
                to="inventory.logentry",
            ),
        ),
        migrations.AddField(
            model_name="handoverline",
            name="hand_over",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT,
                related_name="lines",
                to="inventory.handover",
            ),
        ),
        migrations.AddField(
            model_name="handoverline",
            name="vessel",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT,
                related_name="hand_over_lines",
                to="inventory.vessel",
            ),
        ),
        migrations.AddField(
            model_name="inspection",
            name="entry",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT,
                related_name="inspections",
                to="inventory.logentry",
            ),
        ),
        migrations.AddField(
            model_name="inspection",
            name="vessel",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT,
                related_name="inspections",
                to="inventory.vessel",
            ),
        ),
        migrations.AddField(
            model_name="metalrequest",
            name="entry",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT,
                related_name="requests",
                to="inventory.logentry",
            ),
        ),
        migrations.AddField(
            model_name="metalrequest",
            name="material",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT,
                related_name="requests",
                to="inventory.material",
            ),
        ),
        migrations.AddField(
            model_name="metalrequest",
            name="project",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT,
                related_name="requests",
                to="inventory.project",
            ),
        ),
        migrations.AddField(
            model_name="booking",
            name="request",
            field=models.ForeignKey(
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="bookings",
                to="inventory.metalrequest",
            ),
        ),
        migrations.AddField(
            model_name="metalrequest",
            name="partner",
            field=models.ForeignKey(
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="requests",
                to="inventory.partner",
            ),
        ),
        migrations.AddField(
            model_name="handover",
            name="partner",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT,
                related_name="hand_overs",
                to="inventory.partner",
            ),
        ),
        migrations.AddField(
            model_name="booking",
            name="partner",
            field=models.ForeignKey(
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="bookings",
                to="inventory.partner",
            ),
        ),
        migrations.AddField(
            model_name="membership",
            name="partner",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="memberships",
                to="inventory.partner",
            ),
        ),
        migrations.AddField(
            model_name="project",
            name="partners",
            field=models.ManyToManyField(
                blank=True, related_name="projects", to="inventory.partner"
            ),
        ),
        migrations.AddField(
            model_name="vessel",
            name="custodian",
            field=models.ForeignKey(
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="vessels",
                to="inventory.partner",
            ),
        ),
        migrations.AddConstraint(
            model_name="booking",
            constraint=models.CheckConstraint(
                condition=models.Q(("expires_on__gte", models.F("needed_by"))),
                name="booking_holds_until_needed",
            ),
        ),
        migrations.AddConstraint(
            model_name="membership",
            constraint=models.CheckConstraint(
                condition=models.Q(("role__in", ["lead", "asks", "sees"])),
                name="membership_role_known",
            ),
        ),
        migrations.AddConstraint(
            model_name="vessel",
            constraint=models.CheckConstraint(
                condition=models.Q(("heel_ug__gte", 0)), name="vessel_heel_not_negative"
            ),
        ),
        migrations.AddField(
            model_name="requeststep",
            name="entry",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT,
                related_name="request_steps",
                to="inventory.logentry",
            ),
        ),
        migrations.AddField(
            model_name="requeststep",
            name="metal_request",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT,
                related_name="steps",
                to="inventory.metalrequest",
            ),
        ),
        migrations.AddField(
            model_name="return",
            name="entry",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT,
                related_name="returns",
                to="inventory.logentry",
            ),
        ),
        migrations.AddField(
            model_name="return",
            name="line",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT,
                related_name="returns",
                to="inventory.handoverline",
            ),
        ),
        migrations.AddField(
            model_name="return",
            name="movement",
            field=models.OneToOneField(
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="returned",
                to="inventory.movement",
            ),
        ),
        migrations.AddField(
            model_name="share",
            name="material",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT,
                related_name="shares",
                to="inventory.material",
            ),
        ),
        migrations.AddField(
            model_name="share",
            name="media",
            field=models.ManyToManyField(
                blank=True, related_name="+", to="inventory.medium"
            ),
        ),
        migrations.AddField(
            model_name="share",
            name="partner",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT,
                related_name="shares",
                to="inventory.partner",
            ),
        ),
        migrations.AddField(
            model_name="share",
            name="project",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT,
                related_name="shares",
                to="inventory.project",
            ),
        ),
        migrations.AddConstraint(
            model_name="calendarlink",
            constraint=models.UniqueConstraint(
                condition=models.Q(("revoked_at", None)),
                fields=("user",),
                name="calendar_link_one_each",
            ),
        ),
        migrations.AddConstraint(
            model_name="handoverline",
            constraint=models.CheckConstraint(
                condition=models.Q(("mass_ug__gt", 0), ("u_ug__gte", 0)),
                name="hand_over_line_mass_positive",
            ),
        ),
        migrations.AddConstraint(
            model_name="handoverline",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(("expected_ug", None), ("return_by", None)),
                    models.Q(
                        ("expected_ug__gte", 0),
                        ("expected_ug__isnull", False),
                        ("expected_ug__lte", models.F("mass_ug")),
                        ("return_by__isnull", False),
                    ),
                    _connector="OR",
                ),
                name="hand_over_line_expects_by_a_day",
            ),
        ),
        migrations.AddConstraint(
            model_name="handoverline",
            constraint=models.UniqueConstraint(
                fields=("hand_over", "vessel"), name="hand_over_line_vessel_once"
            ),
        ),
        migrations.AddIndex(
            model_name="inspection",
            index=models.Index(fields=["vessel", "-id"], name="inspection_newest"),
        ),
        migrations.AddIndex(
            model_name="inspection",
            index=models.Index(
                condition=models.Q(("next_on__isnull", False)),
                fields=["next_on"],
                name="inspection_due",
            ),
        ),
        migrations.AddConstraint(
            model_name="inspection",
            constraint=models.CheckConstraint(
                condition=models.Q(("seal__in", ["tight", "doubtful", "leaks"])),
                name="inspection_seal_known",
            ),
        ),
        migrations.AddConstraint(
            model_name="inspection",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("next_on", None),
                    ("next_on__gt", models.F("looked_on")),
                    _connector="OR",
                ),
                name="inspection_next_is_later",
            ),
        ),
        migrations.AddConstraint(
            model_name="metalrequest",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(
                        ("mass_ug__gt", 0),
                        ("mass_ug__isnull", False),
                        ("vessel_count", None),
                    ),
                    models.Q(
                        ("is_whole", True),
                        ("mass_ug", None),
                        ("vessel_count__gt", 0),
                        ("vessel_count__isnull", False),
                    ),
                    _connector="OR",
                ),
                name="request_for_an_amount",
            ),
        ),
        migrations.AddConstraint(
            model_name="metalrequest",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("smallest_purity", None),
                    models.Q(("smallest_purity__gt", 0), ("smallest_purity__lte", 1)),
                    _connector="OR",
                ),
                name="request_purity_is_a_fraction",
            ),
        ),
        migrations.AddConstraint(
            model_name="metalrequest",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("state__in", ["asked", "granted", "declined", "withdrawn"])
                ),
                name="request_state_known",
            ),
        ),
        migrations.AddConstraint(
            model_name="requeststep",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(
                        ("mass_ug__gt", 0),
                        ("mass_ug__isnull", False),
                        ("vessel_count", None),
                    ),
                    models.Q(
                        ("is_whole", True),
                        ("mass_ug", None),
                        ("vessel_count__gt", 0),
                        ("vessel_count__isnull", False),
                    ),
                    _connector="OR",
                ),
                name="request_step_amount",
            ),
        ),
        migrations.AddConstraint(
            model_name="requeststep",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("smallest_purity", None),
                    models.Q(("smallest_purity__gt", 0), ("smallest_purity__lte", 1)),
                    _connector="OR",
                ),
                name="request_step_purity",
            ),
        ),
        migrations.AddConstraint(
            model_name="requeststep",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    (
                        "kind__in",
                        ["asked", "granted", "changed", "declined", "withdrawn"],
                    )
                ),
                name="request_step_kind_known",
            ),
        ),
        migrations.AddConstraint(
            model_name="requeststep",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(("kind__in", ["changed", "declined"]), _negated=True),
                    models.Q(("reason", ""), _negated=True),
                    _connector="OR",
                ),
                name="request_step_says_why",
            ),
        ),
        migrations.AddConstraint(
            model_name="return",
            constraint=models.CheckConstraint(
                condition=models.Q(("kind__in", ["empty", "partly", "reported"])),
                name="return_kind_known",
            ),
        ),
        migrations.AddConstraint(
            model_name="return",
            constraint=models.CheckConstraint(
                condition=models.Q(("u_ug__gte", 0), ("used_ug__gte", 0)),
                name="return_mass_not_negative",
            ),
        ),
        migrations.AddConstraint(
            model_name="return",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("kind", "reported"), ("is_back", True), _connector="OR"
                ),
                name="return_is_back_unless_reported",
            ),
        ),
        migrations.AddConstraint(
            model_name="return",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(("movement", None), ("used_ug", 0)),
                    models.Q(("movement__isnull", False), ("used_ug__gt", 0)),
                    _connector="OR",
                ),
                name="return_use_is_a_movement",
            ),
        ),
        migrations.AddConstraint(
            model_name="share",
            constraint=models.UniqueConstraint(
                fields=("project", "partner", "material"),
                name="share_once",
                violation_error_message="This partner has a share of this metal.",
            ),
        ),
        migrations.AddConstraint(
            model_name="share",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(
                        ("mass_ug__gt", 0),
                        ("mass_ug__isnull", False),
                        ("vessel_count", None),
                    ),
                    models.Q(
                        ("mass_ug", None),
                        ("vessel_count__gt", 0),
                        ("vessel_count__isnull", False),
                    ),
                    _connector="OR",
                ),
                name="share_is_a_mass_or_a_number",
            ),
        ),
        migrations.AddConstraint(
            model_name="share",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("smallest_purity", None),
                    models.Q(("smallest_purity__gt", 0), ("smallest_purity__lte", 1)),
                    _connector="OR",
                ),
                name="share_purity_is_a_fraction",
            ),
        ),
        migrations.RunPython(create, drop),
    ]
