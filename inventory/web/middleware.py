from django.core.exceptions import PermissionDenied


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
