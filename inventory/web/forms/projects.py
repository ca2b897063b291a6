"""Projects, and who is in them."""

from django import forms

from inventory.models import Partner, Project, User
from inventory.operations.projects import Member
from inventory.web import fields


class ProjectForm(fields.RecordForm):
    title = forms.CharField(max_length=120)
    partners = forms.ModelMultipleChoiceField(
        Partner.objects.all(),
        label="Partner organisations",
        required=False,
        widget=forms.CheckboxSelectMultiple,
    )
    purpose = forms.CharField(
        required=False, max_length=1000, widget=forms.Textarea(attrs={"rows": 3})
    )
    starts_on = fields.DayField(label="Starts", required=False)
    ends_on = fields.DayField(label="Ends", required=False)
    members = forms.ModelMultipleChoiceField(
        User.objects.filter(is_active=True),
        required=False,
        to_field_name="username",
        widget=forms.CheckboxSelectMultiple,
        help_text="Partners see only the projects they are members of.",
    )

    def __init__(self, *args, project=None, **kwargs):
        self.project = project
        super().__init__(*args, **kwargs)

    def clean_title(self):
        title = self.cleaned_data["title"]
        others = Project.objects.filter(title__iexact=title)
        if self.project:
            others = others.exclude(pk=self.project.pk)
        if others.exists() and not self.earlier:
            raise forms.ValidationError("There is a project of this title.")
        return title

    def clean(self):
        data = super().clean()
        start, end = data.get("starts_on"), data.get("ends_on")
        if start and end and end < start:
            self.add_error("ends_on", "The project ends before it starts.")
        return data

    def parts(self):
        """Return members, partners and the other facts, as the operations take them."""
        facts = self.facts
        return {
            "members": [Member(user) for user in facts.pop("members")],
            "partners": facts.pop("partners"),
            "facts": facts,
        }
