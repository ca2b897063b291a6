from django.core.management import call_command
from django.core.management.base import BaseCommand

from inventory.operations import catalogue


class Command(BaseCommand):
    help = "Create or update the database and load the shipped catalogue."

    def handle(self, **options):
        call_command("migrate", interactive=False, verbosity=0)
        catalogue.load()
        self.stdout.write("The database is up to date and the catalogue is loaded.")
