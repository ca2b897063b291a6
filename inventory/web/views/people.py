"""Accounts, for the keeper."""

from django.shortcuts import get_object_or_404
from django_tables2 import SingleTableView

from inventory.models import User
from inventory.operations import people
from inventory.operations.access import KEEPING, for_roles
from inventory.web.forms.register import PersonChangeForm, PersonForm
from inventory.web.submit import answer
from inventory.web.tables import PersonTable


class PersonList(SingleTableView):
    table_class = PersonTable
    queryset = User.objects.all()
    template_name = "inventory/person_list.html"


person_list = for_roles(KEEPING)(PersonList.as_view())


@for_roles(KEEPING)
def add(request):
    form = PersonForm(request.POST or None)
    return answer(
        request,
        form,
        lambda **signed: people.add(**form.facts, **signed),
        lambda made: f"{made} may sign in as {made.get_role_display().lower()}.",
        "inventory/person_form.html",
        to="person-list",
    )


@for_roles(KEEPING)
def change(request, pk):
    person = get_object_or_404(User, pk=pk)
    names = ("role", "is_active", "email")
    initial = {name: getattr(person, name) for name in names}
    form = PersonChangeForm(request.POST or None, initial=initial)
    return answer(
        request,
        form,
        lambda **signed: people.change(person, **form.facts, **signed),
        f"{person} changed.",
        "inventory/person_form.html",
        context={"person": person},
        to="person-list",
    )
