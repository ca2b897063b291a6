"""The batch record: the run's log, closing, purity, and files; and their triggers."""

import importlib

import django.db.models.deletion
from django.db import migrations, models

import inventory.models.evidence

append_only = importlib.import_module("inventory.migrations.0002_append_only")

ONLY_ONCE = {
    "inventory_runreading": ("id", "strikes_id"),
    "inventory_closing": ("id", "reopens_id"),
    "inventory_attachment": ("id", "withdraws_id"),
    "inventory_assay": ("id", "withdraws_id"),
    "inventory_impurity": ("id", ("assay_id", "species")),
}


def triggers(vendor):
    """Return [(create, drop)] for the tables that this migration adds."""
    return append_only.keeping(vendor, ONLY_ONCE)


def set_aside(apps, editor):
    """Drop SQLite's triggers, which go with the tables that it lays out anew."""
    if editor.connection.vendor == "sqlite":
        append_only.run(editor, [drop for _, drop in append_only.triggers("sqlite")])


def put_back(apps, editor):
    if editor.connection.vendor == "sqlite":
        append_only.run(
            editor, [create for create, _ in append_only.triggers("sqlite")]
        )


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
        ("inventory", "0002_append_only"),
    ]

    operations = [
        migrations.RunPython(set_aside, put_back),
        migrations.CreateModel(
            name="Assay",
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
                ("purity", models.FloatField(blank=True, null=True)),
                ("grade", models.CharField(blank=True, max_length=80)),
                ("method", models.CharField(max_length=200)),
                ("measured_on", models.DateField()),
                ("measured_by", models.CharField(blank=True, max_length=150)),
                ("note", models.CharField(blank=True, max_length=300)),
            ],
            options={
                "ordering": ["-measured_on", "-id"],
                "abstract": False,
                "default_permissions": ("add", "view"),
            },
        ),
        migrations.CreateModel(
            name="Attachment",
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
                            ("certificate", "Certificate"),
                            ("photo", "Photo"),
                            ("other", "Other document"),
                        ],
                        max_length=12,
                    ),
                ),
                ("name", models.CharField(max_length=150)),
                ("media_type", models.CharField(max_length=40)),
                ("size_bytes", models.BigIntegerField()),
                ("sha256", models.CharField(max_length=64)),
                (
                    "file",
                    models.FileField(
                        max_length=60,
                        storage=inventory.models.evidence.storage,
                        upload_to=inventory.models.evidence.nameless,
                    ),
                ),
                (
                    "thumbnail",
                    models.FileField(
                        blank=True,
                        max_length=60,
                        storage=inventory.models.evidence.storage,
                        upload_to=inventory.models.evidence.nameless,
                    ),
                ),
                ("for_partners", models.BooleanField(default=False)),
            ],
            options={
                "ordering": ["id"],
                "abstract": False,
                "default_permissions": ("add", "view"),
            },
        ),
        migrations.CreateModel(
            name="Closing",
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
                ("collected_ug", models.BigIntegerField(verbose_name="collected")),
                ("u_collected_ug", models.BigIntegerField(default=0)),
                (
                    "method",
                    models.CharField(
                        choices=[
                            ("weighed", "weighed"),
                            ("volume", "by volume"),
                            ("receiver", "weighed in the receiver"),
                            ("pieces", "by counted pieces"),
                            ("whole", "the whole contents"),
                            ("stated", "as stated"),
                        ],
                        max_length=10,
                    ),
                ),
                ("lost_ug", models.BigIntegerField(default=0, verbose_name="lost")),
                ("u_lost_ug", models.BigIntegerField(default=0)),
                ("reason", models.CharField(blank=True, max_length=300)),
            ],
            options={
                "ordering": ["id"],
                "abstract": False,
                "default_permissions": ("add", "view"),
            },
        ),
        migrations.CreateModel(
            name="Impurity",
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
                ("species", models.CharField(max_length=20)),
                ("fraction", models.FloatField()),
                ("unit", models.CharField(max_length=10)),
                ("below", models.BooleanField(default=False)),
            ],
            options={
                "ordering": ["id"],
                "abstract": False,
                "default_permissions": ("add", "view"),
            },
        ),
        migrations.CreateModel(
            name="RunLog",
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
                ("started_at", models.DateTimeField(verbose_name="started")),
                (
                    "ended_at",
                    models.DateTimeField(blank=True, null=True, verbose_name="ended"),
                ),
                (
                    "receiver_ul",
                    models.BigIntegerField(
                        blank=True, null=True, verbose_name="receiver's volume"
                    ),
                ),
                (
                    "u_receiver_ul",
                    models.BigIntegerField(
                        default=0,
                        verbose_name="standard uncertainty of a receiver reading",
                    ),
                ),
                (
                    "worth_ug_per_h",
                    models.BigIntegerField(
                        blank=True, null=True, verbose_name="worth going on"
                    ),
                ),
            ],
        ),
        migrations.CreateModel(
            name="RunReading",
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
                ("read_at", models.DateTimeField()),
                (
                    "temperature_c",
                    models.FloatField(
                        null=True, verbose_name="temperature of the charge"
                    ),
                ),
                ("pressure_pa", models.FloatField(null=True, verbose_name="pressure")),
                (
                    "receiver_ul",
                    models.BigIntegerField(null=True, verbose_name="receiver reading"),
                ),
                (
                    "receiver_c",
                    models.FloatField(
                        null=True, verbose_name="temperature of the receiver"
                    ),
                ),
                (
                    "drip_s",
                    models.FloatField(null=True, verbose_name="time from drop to drop"),
                ),
                ("note", models.CharField(blank=True, max_length=300)),
                ("imported", models.BooleanField(default=False)),
            ],
            options={
                "ordering": ["id"],
                "abstract": False,
                "default_permissions": ("add", "view"),
            },
        ),
        migrations.AddField(
            model_name="batch",
            name="process",
            field=models.CharField(
                blank=True,
                choices=[
                    ("reduction", "Reduction"),
                    ("electrolysis", "Electrolysis"),
                    ("decomposition", "Thermal decomposition"),
                    ("distillation", "Distillation"),
                    ("sublimation", "Sublimation"),
                    ("filtration", "Filtration of the melt"),
                    ("alloying", "Alloying"),
                    ("other", "Another process"),
                ],
                max_length=15,
            ),
        ),
        migrations.AddField(
            model_name="charge",
            name="u_purity",
            field=models.FloatField(blank=True, null=True),
        ),
        migrations.AddConstraint(
            model_name="batch",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    (
                        "process__in",
                        [
                            "",
                            "reduction",
                            "electrolysis",
                            "decomposition",
                            "distillation",
                            "sublimation",
                            "filtration",
                            "alloying",
                            "other",
                        ],
                    )
                ),
                name="batch_process_known",
            ),
        ),
        migrations.AddConstraint(
            model_name="charge",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("u_purity__isnull", True),
                    models.Q(("u_purity__gte", 0), ("u_purity__lt", 1)),
                    _connector="OR",
                ),
                name="charge_u_purity_not_negative",
            ),
        ),
        migrations.AddField(
            model_name="assay",
            name="batch",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT,
                related_name="assays",
                to="inventory.batch",
            ),
        ),
        migrations.AddField(
            model_name="assay",
            name="entry",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT,
                related_name="assays",
                to="inventory.logentry",
            ),
        ),
        migrations.AddField(
            model_name="assay",
            name="withdraws",
            field=models.OneToOneField(
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="withdrawn_by",
                to="inventory.assay",
            ),
        ),
        migrations.AddField(
            model_name="attachment",
            name="batch",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT,
                related_name="attachments",
                to="inventory.batch",
            ),
        ),
        migrations.AddField(
            model_name="attachment",
            name="entry",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT,
                related_name="attachments",
                to="inventory.logentry",
            ),
        ),
        migrations.AddField(
            model_name="attachment",
            name="withdraws",
            field=models.OneToOneField(
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="withdrawn_by",
                to="inventory.attachment",
            ),
        ),
        migrations.AddField(
            model_name="assay",
            name="certificate",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="assays",
                to="inventory.attachment",
            ),
        ),
        migrations.AddField(
            model_name="closing",
            name="batch",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT,
                related_name="closings",
                to="inventory.batch",
            ),
        ),
        migrations.AddField(
            model_name="closing",
            name="entry",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT,
                related_name="closings",
                to="inventory.logentry",
            ),
        ),
        migrations.AddField(
            model_name="closing",
            name="reopens",
            field=models.OneToOneField(
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="reopened_by",
                to="inventory.closing",
            ),
        ),
        migrations.AddField(
            model_name="impurity",
            name="assay",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT,
                related_name="impurities",
                to="inventory.assay",
            ),
        ),
        migrations.AddField(
            model_name="runlog",
            name="batch",
            field=models.OneToOneField(
                on_delete=django.db.models.deletion.PROTECT,
                related_name="run_log",
                to="inventory.batch",
            ),
        ),
        migrations.AddField(
            model_name="runlog",
            name="receiver",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="+",
                to="inventory.vessel",
            ),
        ),
        migrations.AddField(
            model_name="runreading",
            name="batch",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT,
                related_name="run_readings",
                to="inventory.batch",
            ),
        ),
        migrations.AddField(
            model_name="runreading",
            name="entry",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT,
                related_name="run_readings",
                to="inventory.logentry",
            ),
        ),
        migrations.AddField(
            model_name="runreading",
            name="strikes",
            field=models.OneToOneField(
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="struck_by",
                to="inventory.runreading",
            ),
        ),
        migrations.AddConstraint(
            model_name="attachment",
            constraint=models.CheckConstraint(
                condition=models.Q(("kind__in", ["certificate", "photo", "other"])),
                name="attachment_kind_known",
            ),
        ),
        migrations.AddConstraint(
            model_name="attachment",
            constraint=models.CheckConstraint(
                condition=models.Q(("size_bytes__gt", 0)),
                name="attachment_holds_something",
            ),
        ),
        migrations.AddConstraint(
            model_name="assay",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("purity__isnull", True),
                    models.Q(("purity__gt", 0), ("purity__lte", 1)),
                    _connector="OR",
                ),
                name="assay_purity_is_a_fraction",
            ),
        ),
        migrations.AddConstraint(
            model_name="closing",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("collected_ug__gte", 0),
                    ("lost_ug__gte", 0),
                    ("u_collected_ug__gte", 0),
                    ("u_lost_ug__gte", 0),
                ),
                name="closing_masses_not_negative",
            ),
        ),
        migrations.AddConstraint(
            model_name="closing",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    (
                        "method__in",
                        ["weighed", "volume", "receiver", "pieces", "whole", "stated"],
                    )
                ),
                name="closing_method_known",
            ),
        ),
        migrations.AddConstraint(
            model_name="impurity",
            constraint=models.CheckConstraint(
                condition=models.Q(("fraction__gte", 0), ("fraction__lte", 1)),
                name="impurity_is_a_fraction",
            ),
        ),
        migrations.AddConstraint(
            model_name="impurity",
            constraint=models.UniqueConstraint(
                fields=("assay", "species"), name="impurity_once_an_assay"
            ),
        ),
        migrations.AddConstraint(
            model_name="runlog",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(
                        ("receiver_ul", None), ("receiver_ul__gt", 0), _connector="OR"
                    ),
                    ("u_receiver_ul__gte", 0),
                ),
                name="run_log_volumes_positive",
            ),
        ),
        migrations.AddConstraint(
            model_name="runlog",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("worth_ug_per_h", None), ("worth_ug_per_h__gt", 0), _connector="OR"
                ),
                name="run_log_worth_positive",
            ),
        ),
        migrations.AddConstraint(
            model_name="runlog",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("ended_at", None),
                    ("ended_at__gte", models.F("started_at")),
                    _connector="OR",
                ),
                name="run_log_ends_after_it_starts",
            ),
        ),
        migrations.AddIndex(
            model_name="runreading",
            index=models.Index(
                fields=["batch", "read_at", "id"], name="run_reading_in_order"
            ),
        ),
        migrations.AddConstraint(
            model_name="runreading",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("temperature_c__isnull", False),
                    ("pressure_pa__isnull", False),
                    ("receiver_ul__isnull", False),
                    ("drip_s__isnull", False),
                    models.Q(("note", ""), _negated=True),
                    _connector="OR",
                ),
                name="run_reading_says_something",
            ),
        ),
        migrations.AddConstraint(
            model_name="runreading",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(
                        ("pressure_pa", None), ("pressure_pa__gt", 0), _connector="OR"
                    ),
                    models.Q(
                        ("receiver_ul", None), ("receiver_ul__gte", 0), _connector="OR"
                    ),
                    models.Q(("drip_s", None), ("drip_s__gt", 0), _connector="OR"),
                ),
                name="run_reading_numbers_possible",
            ),
        ),
        migrations.RunPython(put_back, set_aside),
        migrations.RunPython(create, drop),
    ]
