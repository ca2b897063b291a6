from django.core.management.base import BaseCommand, CommandError

from inventory.operations import auditing

WIDTH = 40


class Command(BaseCommand):
    help = "Read every vessel's history again and report what does not agree with it."

    def handle(self, **options):
        total, found = auditing.total(), 0
        for done, findings in auditing.audit():
            for finding in findings:
                self.stdout.write(f"{self.start}{finding.vessel}: {finding.what}")
            found += len(findings)
            self.progress(done, total)
        if self.start:
            self.stdout.write("")
        if found:
            raise CommandError(f"Vessels read again: {total}. Findings: {found}.")
        self.stdout.write(f"Vessels read again: {total}. All agree.")

    @property
    def start(self):
        """What a line begins with: on a terminal it goes over the bar."""
        return "\r" if self.stdout.isatty() else ""

    def progress(self, done, total):
        """Draw the bar on a terminal; write nothing into a file."""
        if not self.start:
            return
        filled = WIDTH * done // max(total, 1)
        bar = "#" * filled + "." * (WIDTH - filled)
        self.stdout.write(f"{self.start}{bar} {done} of {total}", ending="")
        self.stdout.flush()
