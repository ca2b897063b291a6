import getpass
from uuid import uuid4

from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.core.management.base import BaseCommand, CommandError

from inventory.models import Role
from inventory.operations import people
from inventory.operations.errors import OperationError


class Command(BaseCommand):
    help = "Make the first account, a keeper, who then adds the others."

    def add_arguments(self, parser):
        parser.add_argument("username")

    def handle(self, username, **options):
        password = getpass.getpass("Password: ")
        try:
            validate_password(password)
            people.add(
                username=username,
                role=Role.KEEPER,
                password=password,
                by=None,
                request_id=uuid4(),
            )
        except (ValidationError, OperationError) as error:
            raise CommandError(str(error)) from error
        self.stdout.write(f"{username} may now sign in as keeper.")
