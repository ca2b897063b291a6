"""Every promise has an end, and a project's partners are records."""

from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("inventory", "0006_partners_named")]

    operations = [
        migrations.RemoveField(model_name="project", name="partner"),
        migrations.AlterField(
            model_name="booking", name="expires_on", field=models.DateField()
        ),
    ]
