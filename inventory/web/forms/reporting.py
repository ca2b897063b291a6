"""Which days a project's report is about."""

from django import forms

from inventory.operations.errors import OperationError
from inventory.operations.reporting import Period
from inventory.web.fields import DayField


class PeriodForm(forms.Form):
    """A first and a last day, either may be left out; sent in the address."""

    since = DayField(label="From", required=False)
    until = DayField(label="To", required=False)

    def clean(self):
        data = super().clean()
        if not self.errors:
            try:
                data["period"] = Period(data["since"], data["until"])
            except OperationError as error:
                self.add_error(error.field, str(error))
        return data
