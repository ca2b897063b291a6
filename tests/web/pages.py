"""A page as its reader has it: the words, the links, and the forms to be sent.

It reads the HTML alone and runs no script, so what works here works without one.
"""

from html.parser import HTMLParser

VOID = {"area", "base", "br", "col", "embed", "hr", "img", "input", "link", "meta"}
UNTYPED = {"hidden", "submit", "button", "image", "reset"}


class Element:
    """A tag with its attributes, its children and the words inside it."""

    def __init__(self, tag, attrs, parent=None):
        self.tag, self.attrs, self.parent = tag, dict(attrs), parent
        self.inside = []

    def __getitem__(self, name):
        return self.attrs.get(name)

    @property
    def text(self):
        """All words inside, with single spaces."""
        words = [part if isinstance(part, str) else part.text for part in self.inside]
        return " ".join(" ".join(words).split())

    def walk(self):
        for part in self.inside:
            if isinstance(part, Element):
                yield part
                yield from part.walk()

    def all(self, *tags, **attrs):
        return [
            element
            for element in self.walk()
            if (not tags or element.tag in tags)
            and all(element[name] == value for name, value in attrs.items())
        ]

    def above(self, tag):
        """Return the nearest `tag` this stands in, or None."""
        element = self.parent
        while element is not None and element.tag != tag:
            element = element.parent
        return element


class Page(Element, HTMLParser):
    def __init__(self, response):
        HTMLParser.__init__(self)
        Element.__init__(self, "page", {})
        self.status = response.status_code
        self.open = [self]
        self.feed(response.text)

    def handle_starttag(self, tag, attrs):
        element = Element(tag, attrs, self.open[-1])
        self.open[-1].inside.append(element)
        if tag not in VOID:
            self.open.append(element)

    def handle_startendtag(self, tag, attrs):
        self.open[-1].inside.append(Element(tag, attrs, self.open[-1]))

    def handle_endtag(self, tag):
        tags = [element.tag for element in self.open]
        if tag in tags[1:]:
            del self.open[len(tags) - 1 - tags[::-1].index(tag) :]

    def handle_data(self, data):
        self.open[-1].inside.append(data)

    @property
    def main(self):
        return self.all("main")[0]

    @property
    def messages(self):
        return self.all(role="status")[0].text

    @property
    def links(self):
        return [link["href"] for link in self.main.all("a")]

    @property
    def facts(self):
        """Return {term: value with its note} of the page's lists of facts."""
        return {
            pair.all("dt")[0].text: pair.all("dd")[0].text
            for facts in self.main.all("dl")
            for pair in facts.all("div")
        }

    def table_under(self, key):
        """Return the texts of the cells of the table in a panel, row by row."""
        (body, *_) = self.by_id(key).above("section").all("tbody")
        return [[cell.text for cell in row.all("td")] for row in body.all("tr")]

    def by_id(self, key):
        found = self.all(id=key)
        return found[0] if found else None

    def own_forms(self):
        """Return the forms that this page is there for: not the way out at its top."""
        return self.main.all("form", method="post")

    def typed(self):
        """Return {name: [values]} that a browser would send with this page's form."""
        (form,) = self.own_forms()
        sent = {}
        for control in controls(form):
            for value in values(control):
                sent.setdefault(control["name"], []).append(value)
        return sent

    def wrong(self):
        """Return {name: sentence} of the controls that are marked as wrong."""
        found = {}
        for control in self.main.all("input", "select", "textarea"):
            if control["aria-invalid"] == "true":
                ids = (control["aria-describedby"] or "").split()
                said = [self.by_id(key).text for key in ids if key.endswith("_error")]
                found[control["name"]] = " ".join(said)
        return found

    def rows(self):
        """Return the texts of the cells of the page's first table, row by row."""
        (body, *_) = self.main.all("tbody")
        return [[cell.text for cell in row.all("td")] for row in body.all("tr")]


def controls(form):
    """Return what can be filled in, hidden fields and all, but no buttons."""
    return [
        control
        for control in form.all("input", "select", "textarea")
        if control["name"] and control["type"] not in UNTYPED - {"hidden"}
    ]


def values(control):
    """Return what a browser sends for a control: nothing for an unticked box."""
    if control.tag == "select":
        options = control.all("option")
        chosen = [option for option in options if "selected" in option.attrs]
        if not chosen and "multiple" not in control.attrs:
            chosen = options[:1]
        return [option["value"] for option in chosen]
    if control.tag == "textarea":
        return [control.text]
    if control["type"] in ("checkbox", "radio"):
        return [control["value"] or "on"] if "checked" in control.attrs else []
    return [control["value"] or ""]
