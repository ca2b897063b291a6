"""Partners out of the names that projects had; an end for the promises that are there.

A migration of its own: PostgreSQL alters no table whose rows were just written.
"""

from datetime import timedelta

from django.db import migrations
from django.utils import timezone

A_FORTNIGHT = timedelta(days=14)


def name_partners(apps, editor):
    """Make an organisation of what each project called its partner."""
    Project = apps.get_model("inventory", "Project")
    Partner = apps.get_model("inventory", "Partner")
    for project in Project.objects.exclude(partner=""):
        name = project.partner.strip()
        partner = Partner.objects.filter(name__iexact=name).first()
        project.partners.add(partner or Partner.objects.create(name=name))


def call_partners(apps, editor):
    Project = apps.get_model("inventory", "Project")
    for project in Project.objects.all():
        names = project.partners.order_by("name").values_list("name", flat=True)
        project.partner = ", ".join(names)[:120]
        project.save(update_fields=["partner"])


def let_expire(apps, editor):
    """Let the promises that are there hold for two weeks at least: none ends by this."""
    Booking = apps.get_model("inventory", "Booking")
    today = timezone.localdate()
    for booking in Booking.objects.filter(expires_on=None):
        booking.expires_on = max(booking.needed_by, today) + A_FORTNIGHT
        booking.save(update_fields=["expires_on"])


def nothing(apps, editor):
    """Undo nothing: the column itself goes."""


class Migration(migrations.Migration):
    dependencies = [("inventory", "0005_sharing")]

    operations = [
        migrations.RunPython(name_partners, call_partners),
        migrations.RunPython(let_expire, nothing),
    ]
