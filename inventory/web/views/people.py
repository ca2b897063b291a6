"""Accounts, for the keeper."""

from django.shortcuts import get_object_or_404, redirect, render
from django_tables2 import SingleTableView

from inventory.models import User
from inventory.operations import people
from inventory.operations.access import KEEPING, for_roles
from inventory.web.forms.register import PersonChangeForm, PersonForm
from inventory.web.submit import carry_out, status_of
from inventory.web.tables import PersonTable


class PersonList(SingleTableView):
    table_class = PersonTable
    queryset = User.objects.all()
    template_name = "inventory/person_list.html"


person_list = for_roles(KEEPING)(PersonList.as_view())


@for_roles(KEEPING)
def add(request):
    form = PersonForm(request.POST or None)
    if form.is_valid():
        made = carry_out(
            request,
            form,
            lambda: people.add(**form.cleaned_data, by=request.user),
            lambda made: f"{made} may sign in as {made.get_role_display().lower()}.",
        )
        if made:
            return redirect("person-list")
    return render(
        request, "inventory/person_form.html", {"form": form}, status=status_of(form)
    )


@for_roles(KEEPING)
def change(request, pk):
    person = get_object_or_404(User, pk=pk)
    initial = {"role": person.role, "is_active": person.is_active}
    form = PersonChangeForm(request.POST or None, initial=initial)
    if form.is_valid():
        changed = carry_out(
            request,
            form,
            lambda: people.change(person, **form.cleaned_data, by=request.user),
            f"{person} changed.",
        )
        if changed:
            return redirect("person-list")
    return render(
        request,
        "inventory/person_form.html",
        {"form": form, "person": person},
        status=status_of(form),
    )
