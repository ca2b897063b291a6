"""Where a line of a page must not break: inside "± 0.05 g", and inside "(k = 2)"."""

import re

from django.utils.safestring import SafeString

NO_BREAK = "\N{NO-BREAK SPACE}"
_PLUS_MINUS = re.compile(r"± ([\d.]+) (?=\S)")


def held(text):
    """Return words with both held together; anything but plain words as it is."""
    if not isinstance(text, str) or isinstance(text, SafeString):
        return text
    parted = _PLUS_MINUS.sub(rf"±{NO_BREAK}\1{NO_BREAK}", text)
    return parted.replace("(k = 2)", f"(k{NO_BREAK}={NO_BREAK}2)")
