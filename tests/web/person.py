"""What a person does in a browser: open a page, fill in its form, send it, read on."""

from inventory.models import LogEntry

from .pages import Page

SECRET = {"csrfmiddlewaretoken", "password", "old_password"}
BUTTONS = {"work-out", "more"}
COUNTS = {"form-TOTAL_FORMS", "form-INITIAL_FORMS"}


def opened(client, address):
    """Return the page at `address`, which has to be there."""
    response = client.get(address)
    assert response.status_code == 200, (address, response.status_code)
    return Page(response)


def filled_in(client, address, /, **typed):
    """Return what the form at `address` sends once `typed` is written into it.

    A value of None leaves the control out, as an unticked box does.
    """
    sent = {**opened(client, address).typed(), **typed}
    return {name: value for name, value in sent.items() if value is not None}


def recorded(client, address, /, **typed):
    """Send the form, see that it was recorded once, and return the page after it."""
    before = LogEntry.objects.count()
    answer = client.post(address, filled_in(client, address, **typed))
    assert answer.status_code == 302, Page(answer).wrong() or Page(answer).main.text
    assert LogEntry.objects.count() == before + 1
    page = opened(client, answer["Location"])
    assert page.messages, "nothing was said about it"
    return page


def answered(client, address, /, **typed):
    """Send the form, see that nothing was recorded, and return the page it gives.

    What was typed has to be in the form still.
    """
    before = LogEntry.objects.count()
    sent = filled_in(client, address, **typed)
    page = Page(client.post(address, sent))
    assert LogEntry.objects.count() == before
    kept = page.typed()
    for name, value in sent.items():
        if name in kept and name not in SECRET | COUNTS:
            assert kept[name] == as_list(value), name
    missing = {name for name, value in sent.items() if value} - set(kept) - BUTTONS
    assert not missing, f"no longer in the form: {missing}"
    return page


def as_list(value):
    return [str(each) for each in (value if isinstance(value, list) else [value])]


def refused(client, address, field, /, **typed):
    """Send a form that is refused at `field` alone; return the sentence there."""
    page = answered(client, address, **typed)
    assert page.status == 422
    assert list(page.wrong()) == [field], page.wrong() or page.main.text
    return page.wrong()[field]


def refused_as_a_whole(client, address, /, **typed):
    """Send a form that is refused with no field to blame; return the page's words."""
    page = answered(client, address, **typed)
    assert page.status == 422
    assert not page.wrong()
    return page.main.text


def sent_twice(client, address, /, **typed):
    """Send the same filled-in form twice; return the page after the second time."""
    sent = filled_in(client, address, **typed)
    first = client.post(address, sent)
    assert first.status_code == 302, Page(first).wrong() or Page(first).main.text
    after_first = LogEntry.objects.count()
    second = client.post(address, sent)
    assert second.status_code == 302, Page(second).wrong() or Page(second).main.text
    assert LogEntry.objects.count() == after_first
    assert second["Location"] == first["Location"]
    return opened(client, second["Location"])
