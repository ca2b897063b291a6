"""Labels: hazards of lots and of liquids, what was printed, own sheets; and triggers."""

import importlib

import django.db.models.deletion
from django.db import migrations, models

append_only = importlib.import_module("inventory.migrations.0002_append_only")

ONLY_ONCE = {
    "inventory_lotprofile": ("id", "withdraws_id"),
    "inventory_labelprint": ("id",),
}


def triggers(vendor):
    """Return [(create, drop)] for the tables that this migration adds."""
    return append_only.keeping(vendor, ONLY_ONCE)


def create(apps, editor):
    append_only.run(
        editor, [create for create, _ in triggers(editor.connection.vendor)]
    )


def drop(apps, editor):
    append_only.run(
        editor, [drop for _, drop in reversed(triggers(editor.connection.vendor))]
    )


class Migration(migrations.Migration):
    dependencies = [
        ("inventory", "0003_batch_record"),
    ]

    operations = [
        migrations.CreateModel(
            name="LabelSheet",
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
                ("name", models.CharField(max_length=60)),
                ("page_width_mm", models.FloatField()),
                ("page_height_mm", models.FloatField()),
                ("label_width_mm", models.FloatField()),
                ("label_height_mm", models.FloatField()),
                ("margin_left_mm", models.FloatField(default=0.0)),
                ("margin_top_mm", models.FloatField(default=0.0)),
                (
                    "pitch_x_mm",
                    models.FloatField(verbose_name="from left edge to left edge"),
                ),
                (
                    "pitch_y_mm",
                    models.FloatField(verbose_name="from top edge to top edge"),
                ),
                ("columns", models.PositiveSmallIntegerField()),
                ("rows", models.PositiveSmallIntegerField()),
                ("clear_mm", models.FloatField(default=1.5, verbose_name="clear edge")),
                (
                    "offset_x_mm",
                    models.FloatField(
                        default=0.0, verbose_name="printer's offset to the right"
                    ),
                ),
                (
                    "offset_y_mm",
                    models.FloatField(
                        default=0.0, verbose_name="printer's offset upwards"
                    ),
                ),
                ("retired_on", models.DateField(blank=True, null=True)),
            ],
            options={
                "ordering": ["name", "id"],
                "constraints": [
                    models.UniqueConstraint(
                        condition=models.Q(("retired_on", None)),
                        fields=("name",),
                        name="label_sheet_name_once",
                        violation_error_message="There is a sheet of this name already.",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("clear_mm__gte", 0),
                            ("columns__gte", 1),
                            ("label_height_mm__gt", 0),
                            ("label_width_mm__gt", 0),
                            ("margin_left_mm__gte", 0),
                            ("margin_top_mm__gte", 0),
                            ("page_height_mm__gt", 0),
                            ("page_width_mm__gt", 0),
                            ("rows__gte", 1),
                        ),
                        name="label_sheet_sizes_positive",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("label_height_mm__lte", models.F("page_height_mm")),
                            ("label_width_mm__lte", models.F("page_width_mm")),
                        ),
                        name="label_sheet_label_within_page",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="LabelPrint",
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
                ("format", models.CharField(max_length=20)),
                ("sheet", models.CharField(max_length=40)),
                (
                    "mode",
                    models.CharField(
                        choices=[
                            ("eu", "EU (CLP)"),
                            ("gb", "Great Britain (GB CLP)"),
                            ("osha", "United States (OSHA)"),
                            ("workplace", "Own workplace only"),
                        ],
                        max_length=10,
                    ),
                ),
                ("languages", models.CharField(max_length=20)),
                ("extras", models.CharField(blank=True, max_length=40)),
                ("reason", models.CharField(blank=True, max_length=200)),
                ("content_key", models.CharField(max_length=64)),
                ("said", models.JSONField(default=dict)),
                (
                    "entry",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="label_prints",
                        to="inventory.logentry",
                    ),
                ),
                (
                    "vessel",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="label_prints",
                        to="inventory.vessel",
                    ),
                ),
            ],
            options={
                "ordering": ["id"],
                "abstract": False,
                "default_permissions": ("add", "view"),
                "indexes": [
                    models.Index(fields=["vessel", "-id"], name="label_print_newest")
                ],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            ("mode__in", ["eu", "gb", "osha", "workplace"])
                        ),
                        name="label_print_mode_known",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("content_key", ""), _negated=True),
                            models.Q(("languages", ""), _negated=True),
                        ),
                        name="label_print_says_what",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="LotProfile",
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
                ("signal_word", models.CharField(blank=True, max_length=10)),
                ("euh", models.CharField(blank=True, max_length=60)),
                ("pictograms", models.CharField(blank=True, max_length=60)),
                (
                    "un_number",
                    models.CharField(
                        blank=True, max_length=10, verbose_name="UN number"
                    ),
                ),
                ("proper_shipping_name", models.CharField(blank=True, max_length=120)),
                ("transport_class", models.CharField(blank=True, max_length=20)),
                ("packing_group", models.CharField(blank=True, max_length=10)),
                ("hazard_classes", models.CharField(blank=True, max_length=300)),
                ("h", models.CharField(blank=True, max_length=200)),
                ("p", models.CharField(blank=True, max_length=400)),
                ("document", models.CharField(max_length=150)),
                ("document_date", models.DateField()),
                ("reason", models.CharField(blank=True, max_length=300)),
                (
                    "attachment",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="lot_profiles",
                        to="inventory.attachment",
                    ),
                ),
                (
                    "batch",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="lot_profiles",
                        to="inventory.batch",
                    ),
                ),
                (
                    "entry",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="lot_profiles",
                        to="inventory.logentry",
                    ),
                ),
                (
                    "withdraws",
                    models.OneToOneField(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="withdrawn_by",
                        to="inventory.lotprofile",
                    ),
                ),
            ],
            options={
                "ordering": ["id"],
                "abstract": False,
                "default_permissions": ("add", "view"),
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            ("signal_word__in", ("", "Danger", "Warning"))
                        ),
                        name="lot_profile_signal_word_known",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("document", ""), _negated=True),
                        name="lot_profile_names_its_document",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("withdraws", models.F("id")), _negated=True
                        ),
                        name="lot_profile_not_withdrawing_itself",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="MediumHazard",
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
                ("signal_word", models.CharField(blank=True, max_length=10)),
                ("hazard_classes", models.CharField(blank=True, max_length=200)),
                ("h", models.CharField(blank=True, max_length=100)),
                ("euh", models.CharField(blank=True, max_length=60)),
                ("p", models.CharField(blank=True, max_length=200)),
                ("pictograms", models.CharField(blank=True, max_length=60)),
                (
                    "un_number",
                    models.CharField(
                        blank=True, max_length=10, verbose_name="UN number"
                    ),
                ),
                ("proper_shipping_name", models.CharField(blank=True, max_length=120)),
                ("transport_class", models.CharField(blank=True, max_length=20)),
                ("packing_group", models.CharField(blank=True, max_length=10)),
                (
                    "cas",
                    models.CharField(
                        blank=True, max_length=12, verbose_name="CAS number"
                    ),
                ),
                ("status", models.CharField(blank=True, max_length=60)),
                ("source", models.CharField(blank=True, max_length=400)),
                ("note", models.CharField(blank=True, max_length=400)),
                (
                    "medium",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="hazard",
                        to="inventory.medium",
                    ),
                ),
            ],
            options={
                "ordering": ["id"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            ("signal_word__in", ("", "Danger", "Warning"))
                        ),
                        name="medium_hazard_signal_word_known",
                    )
                ],
            },
        ),
        migrations.RunPython(create, drop),
    ]
