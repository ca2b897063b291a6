"""Projects, and who is in them."""

from django import forms

from inventory.models import MemberRole, Partner, Project, User
from inventory.operations.projects import Member
from inventory.web import fields

# So many accounts have a row each; of more, only the members.
MOST_ROWS = 24
# How many can be added by name at once then.
ADDED = range(1, 4)

ROLES = [
    ("", "—"),
    (MemberRole.LEAD, "Leads"),
    (MemberRole.ASKS, "Asks"),
    (MemberRole.SEES, "Sees only"),
]


class ProjectForm(fields.RecordForm):
    """A project with its partners; per person a role and an organisation."""

    title = forms.CharField(max_length=120)
    purpose = forms.CharField(
        required=False, max_length=1000, widget=forms.Textarea(attrs={"rows": 3})
    )
    starts_on = fields.DayField(label="Starts", required=False)
    ends_on = fields.DayField(label="Ends", required=False)
    partners = forms.ModelMultipleChoiceField(
        Partner.objects.all(),
        label="Partner organisations",
        required=False,
        widget=forms.CheckboxSelectMultiple,
    )

    def __init__(self, *args, project=None, **kwargs):
        self.project = project
        super().__init__(*args, **kwargs)
        members = project.memberships.select_related("user") if project else []
        members = {member.user: member for member in members}
        active = User.objects.filter(is_active=True)[: MOST_ROWS + 1]
        self.takes_names = len(active) > MOST_ROWS
        listed = set(members) if self.takes_names else {*members, *active}
        self.people = sorted(listed, key=lambda user: user.username)
        self.organisations = {str(each.pk): each for each in Partner.objects.all()}
        for user in self.people:
            member = members.get(user)
            self.add_person(f"{user.pk}", user, member.role if member else "")
            if member and member.partner_id:
                self.fields[f"for_{user.pk}"].initial = str(member.partner_id)
        for number in ADDED if self.takes_names else ():
            words = f"person {number} to add"
            self.fields[f"name_new{number}"] = forms.CharField(
                label=f"Sign-in name of {words}", required=False, max_length=150
            )
            self.add_person(f"new{number}", words, MemberRole.ASKS)

    def add_person(self, key, words, role):
        """Add the two fields of a row: what somebody does here, and for whom."""
        choices = [(pk, each.name) for pk, each in self.organisations.items()]
        self.fields[f"role_{key}"] = forms.ChoiceField(
            label=f"What {words} does here",
            choices=ROLES,
            required=False,
            initial=role,
        )
        self.fields[f"for_{key}"] = forms.ChoiceField(
            label=f"For which organisation {words} is here",
            choices=[("", "—"), *choices],
            required=False,
        )

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
        self.members = [
            self.member(user, f"{user.pk}")
            for user in self.people
            if data.get(f"role_{user.pk}")
        ]
        for number in ADDED if self.takes_names else ():
            if data.get(f"name_new{number}"):
                self.add_named(f"new{number}", data[f"name_new{number}"])
        return data

    def add_named(self, key, name):
        """Add the person of this sign-in name to the members, or say who is missing."""
        user = User.objects.filter(username__iexact=name, is_active=True).first()
        if user is None:
            self.add_error(f"name_{key}", "Nobody signs in by this name.")
        elif user in [*self.people, *(member.user for member in self.members)]:
            self.add_error(f"name_{key}", f"{user} has a row already.")
        elif not self.cleaned_data.get(f"role_{key}"):
            self.add_error(f"role_{key}", f"Say what {user} does here.")
        else:
            self.members.append(self.member(user, key))

    def member(self, user, key):
        """Return what a row says, and see that its organisation is a partner here."""
        data = self.cleaned_data
        partner = self.organisations.get(data.get(f"for_{key}", ""))
        ticked = data.get("partners")
        if partner and ticked is not None and partner not in ticked:
            self.add_error(
                f"for_{key}", f"Tick {partner} as a partner organisation as well."
            )
        return Member(user, data[f"role_{key}"], partner)

    def head(self):
        """Return the fields that are about the project as a whole."""
        names = ("title", "purpose", "starts_on", "ends_on", "partners")
        return [self[name] for name in names]

    def rows(self):
        """Return (person, role, organisation) of everybody who has a row."""
        return [
            (user, self[f"role_{user.pk}"], self[f"for_{user.pk}"])
            for user in self.people
        ]

    def new_rows(self):
        """Return (sign-in name, role, organisation) of the empty rows at the end."""
        return [
            (self[f"name_new{n}"], self[f"role_new{n}"], self[f"for_new{n}"])
            for n in (ADDED if self.takes_names else ())
        ]

    def parts(self):
        """Return members, partners and the other facts, as the operations take them."""
        names = ("title", "purpose", "starts_on", "ends_on")
        return {
            "members": self.members,
            "partners": self.cleaned_data["partners"],
            "facts": {name: self.cleaned_data[name] for name in names},
        }
