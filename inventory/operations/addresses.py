"""Under which addresses this laboratory is reached: the printed codes lead there."""

from django.conf import settings

from inventory.calc import codes


def hosts(asked_at):
    """Return the hosts whose labels are ours: the public one, and that of a request.

    `asked_at` is the host a request came to. Labels are printed under either.
    """
    public = codes.link_host(settings.PUBLIC_URL + "/")
    return {host for host in (codes.folded_host(asked_at), public) if host}
