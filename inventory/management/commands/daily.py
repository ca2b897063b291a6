from django.core.management.base import BaseCommand

from inventory.operations import expiring


class Command(BaseCommand):
    help = "End the bookings whose day has passed, and remind of those that end soon."

    def handle(self, **options):
        ended = expiring.expire_due()
        self.stdout.write(f"Promises that ended: {len(ended)}{listed(ended)}.")
        reminded = expiring.remind()
        self.stdout.write(f"Bookings reminded of: {len(reminded)}{listed(reminded)}.")


def listed(rows):
    """Return which they are, in brackets, each once."""
    names = [str(getattr(row, "booking", row)) for row in rows]
    return f" ({', '.join(dict.fromkeys(names))})" if names else ""
