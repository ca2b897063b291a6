from django.conf import settings
from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError

from inventory.management import acts, scenario


class Command(BaseCommand):
    help = "Fill a database of its own with an invented laboratory, and serve it."

    def add_arguments(self, parser):
        parser.add_argument(
            "--address",
            default="127.0.0.1:8000",
            help="where to listen, as in 0.0.0.0:8000 to reach it from a phone",
        )
        parser.add_argument(
            "--no-server", action="store_true", help="only fill the database"
        )

    def handle(self, address, no_server, **options):
        if "demo.sqlite3" not in str(settings.DATABASES["default"]["NAME"]):
            raise CommandError("Run this as `python manage.py demo`, on its own data.")
        call_command("setup", stdout=self.stdout)
        acts.play()
        call_command("collectstatic", interactive=False, verbosity=0)
        self.stdout.write(f"\nTarebook with demo data: http://{address}/")
        self.stdout.write(f"Log in as one of these, password {scenario.PASSWORD}")
        for username, does in scenario.PEOPLE.items():
            self.stdout.write(f"  {username:<10} {does}")
        self.stdout.write("Stop it with Ctrl-C.\n")
        if not no_server:
            call_command("runserver", address, use_reloader=False)
