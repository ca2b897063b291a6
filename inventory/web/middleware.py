from itertools import chain

from django.core.exceptions import BadRequest, PermissionDenied


class PlainTextMiddleware:
    """Refuse a NUL in an address or a form.

    No keyboard types one, and PostgreSQL cannot even look for it.
    """

    def __init__(self, get_response):
        self.get_response = get_response

    def __call__(self, request):
        sent = (request.GET.lists(), request.POST.lists())
        texts = (text for _, values in chain(*sent) for text in values)
        if "\0" in request.path or any("\0" in text for text in texts):
            raise BadRequest("A NUL is no text.")
        return self.get_response(request)


class RoleMiddleware:
    """Answer a page only to the roles it names.

    Runs behind LoginRequiredMiddleware, which sends strangers to the log-in page.
    """

    def __init__(self, get_response):
        self.get_response = get_response

    def __call__(self, request):
        return self.get_response(request)

    def process_view(self, request, view, args, kwargs):
        if not getattr(view, "login_required", True):
            return
        if not request.user.is_authenticated:
            return
        if request.user.role not in getattr(view, "roles", ()):
            raise PermissionDenied
