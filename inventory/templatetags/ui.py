"""What templates may say without loading anything: numbers, icons, components."""

from django import template
from django.template.defaultfilters import slugify
from django.templatetags.static import static
from django.urls import reverse
from django.utils.html import format_html
from django.utils.safestring import mark_safe

from inventory.calc import units
from inventory.web import figure, fillings
from inventory.web.line_breaks import held

from . import charts

register = template.Library()
register.tags.update(charts.register.tags)  # one library, in two files
register.filters.update(charts.register.filters)

UNKNOWN = "—"
MINUS = "\N{MINUS SIGN}"
TONES = ("plain", "good", "warn", "stop")
MESSAGE_TONES = {"success": "good", "warning": "warn", "error": "stop"}


def _shown(show, value):
    return UNKNOWN if value is None or value == "" else show(value)


@register.filter
def mass(ug):
    """Show micrograms as a mass: `{{ vessel.tare_ug|mass }}` is `88.412 g`."""
    return _shown(units.show_mass, ug)


@register.filter
def mass_u(ug, u_ug):
    """Show micrograms with their k = 2 uncertainty; `u_ug` is the standard one."""
    return held(_with_u(ug, u_ug))


def _with_u(ug, u_ug):
    if u_ug is None or u_ug == "":
        return mass(ug)
    return _shown(lambda value: units.show_mass(value, u_ug), ug)


@register.filter
def times(ratio):
    """Show how many times its uncertainty a difference is: `3.4 u`."""
    return UNKNOWN if ratio is None else f"{ratio:.1f} u"


@register.filter
def plus_minus(u_ug):
    """Show a standard uncertainty as what is written behind a mass, k = 2."""
    return units.show_plus_minus(u_ug)


VERDICTS = {
    "quiet": "within 2 u: it agrees",
    "check": "between 2 u and 3 u: check",
    "investigate": "more than 3 u: investigate before use",
}


@register.filter
def verdict_words(verdict):
    """Say what a reading's verdict means."""
    return VERDICTS.get(verdict, "")


@register.filter
def unit(name):
    """Show a catalogue unit as it is printed: `kg/m3` is kg/m³, `degC` is °C."""
    return name.replace("degC", "°C").replace("m3", "m³")


@register.filter
def mass_plain(ug):
    """Show micrograms with every digit they have, as a balance does."""
    return _shown(units.show_mass_plain, ug)


@register.filter
def as_read(ug, step_ug):
    """Show a reading with the digits of its balance: `25.0000 g`."""
    return units.show_reading(ug, step_ug)


@register.filter
def mass_change(ug):
    """Show micrograms with their sign, as a ledger does: `+3.06 g`, `−3.06 g`."""
    return _shown(units.show_change, ug)


@register.filter
def volume(ul):
    """Show microlitres: `2.14 mL`."""
    return _shown(units.show_volume, ul)


@register.filter
def density(kg_m3):
    """Show kg/m³ as g/cm³."""
    return _shown(units.show_density, kg_m3)


@register.filter
def amount(mol):
    """Show moles: `25.0 mmol`."""
    return _shown(units.show_amount, mol)


@register.filter
def temperature(celsius):
    """Show degrees Celsius."""
    return _shown(units.show_temperature, celsius)


@register.filter
def pressure(pascal):
    """Show pascals: `2.0 Pa`, and hPa for the air in the room."""
    return _shown(units.show_pressure, pascal)


@register.filter
def percent(fraction):
    """Show a fraction 0..1 as per cent."""
    return _shown(units.show_percent, fraction)


@register.filter
def message_tone(message):
    """Return the notice tone of a Django message."""
    return MESSAGE_TONES.get(message.level_tag, "plain")


@register.filter
def narrowed(form, query):
    """Return whether a query string narrows a list: `filter.form|narrowed:request.GET`.

    Not `form.has_changed`, which also sees what a filter assumes unasked.
    """
    return any(query.get(form.add_prefix(name)) for name in form.fields)


@register.simple_tag
def measured(ug, u_ug=None):
    """`{% measured ug u_ug %}`: a mass set in type, its uncertainty smaller."""
    value, plus_minus, doubt = _with_u(ug, u_ug).partition(" ± ")
    shown = format_html('<span class="measured-value">{}</span>', value)
    if plus_minus:
        shown = format_html('{} <span class="measured-u">± {}</span>', shown, doubt)
    return format_html('<span class="measured">{}</span>', shown)


@register.simple_tag
def icon(name, label=""):
    """`{% icon "balance" %}`; give `label` only where no word stands beside it."""
    href = f"{static('inventory/icons.svg')}#{name}"
    if not label:
        return format_html(
            '<svg class="icon" aria-hidden="true"><use href="{}"></use></svg>', href
        )
    return format_html(
        '<svg class="icon" role="img" aria-label="{}"><use href="{}"></use></svg>',
        label,
        href,
    )


@register.simple_tag(takes_context=True)
def nav_link(context, url_name, label):
    """`{% nav_link "vessel-list" "Vessels" %}`, marked when we are there.

    A page of the same noun (`vessel-tare`) marks its list as the current section.
    """
    match = getattr(context.get("request"), "resolver_match", None)
    here = match.view_name if match and match.view_name else ""
    current = ""
    if here == url_name:
        current = mark_safe(' aria-current="page"')
    elif here and _section(here) == _section(url_name):
        current = mark_safe(' aria-current="true"')
    return format_html('<a href="{}"{}>{}</a>', reverse(url_name), current, label)


def _section(view_name):
    namespace, _, name = view_name.rpartition(":")
    return namespace or name.partition("-")[0]


@register.simple_block_tag
def panel(content, title, tone="plain", level=2, icon_name="", anchor=""):
    """`{% panel "Movements" tone="warn" %} … {% endpanel %}`."""
    anchor = anchor or slugify(title)
    return format_html(
        '<section class="panel panel-{0}" aria-labelledby="{1}">'
        '<h{2} class="panel-title" id="{1}">{3}{4}</h{2}>{5}</section>',
        _tone(tone),
        anchor,
        level,
        icon(icon_name) if icon_name else "",
        title,
        content,
    )


@register.simple_block_tag
def notice(content, tone="plain", title=""):
    """`{% notice tone="warn" title="Tight" %} … {% endnotice %}`."""
    icons = {"plain": "info", "good": "check", "warn": "warn", "stop": "stop"}
    return format_html(
        '<div class="notice notice-{}">{}<div class="notice-text">{}{}</div></div>',
        _tone(tone),
        icon(icons[tone]),
        format_html('<p class="notice-title">{}</p>', title) if title else "",
        content,
    )


@register.simple_block_tag
def facts(content):
    """`{% facts %}{% fact "Tare" vessel.tare_ug|mass %}{% endfacts %}`."""
    return format_html('<dl class="facts">{}</dl>', content)


@register.simple_tag
def fact(term, value, note="", href=""):
    """One term and its value inside `{% facts %}`; `note` follows, smaller."""
    shown = UNKNOWN if value is None or value == "" else held(value)
    if href:
        shown = format_html('<a href="{}">{}</a>', href, shown)
    if note:
        shown = format_html('{} <span class="note">{}</span>', shown, held(note))
    return format_html('<div class="fact"><dt>{}</dt><dd>{}</dd></div>', term, shown)


def _tone(tone):
    if tone not in TONES:
        raise template.TemplateSyntaxError(f"{tone!r} is not one of {TONES}")
    return tone


@register.inclusion_tag("components/stat.html")
def stat(label, value, note="", href="", tone="plain"):
    """`{% stat "Free" ug|mass note="of 41.2 g" %}`: one number on a card."""
    return {
        "label": label,
        "value": value,
        "note": note,
        "href": href,
        "tone": _tone(tone),
    }


@register.inclusion_tag("components/hero.html")
def hero(label, ug, u_ug=None, note=""):
    """`{% hero "Remaining" ug u_ug note="…" %}`: the number the page is about."""
    return {"label": label, "ug": ug, "u_ug": u_ug, "note": note}


@register.inclusion_tag("components/vessel_figure.html")
def vessel_figure(
    kind,
    capacity_ul,
    metal_ul=0,
    liquid_ul=0,
    gas="argon",
    metal_floats=False,
    size="large",
    label="",
    metal="metal",
    liquid="liquid",
    sealed=True,
):
    """Draw a vessel filled to its true level; `label` is its code.

    `metal`, `liquid` and `gas` are the words for what is inside.
    """
    drawing = figure.draw(
        kind,
        capacity_ul,
        fillings.Contents(
            metal_ul=metal_ul or 0,
            liquid_ul=liquid_ul or 0,
            gas=gas,
            metal_floats=bool(metal_floats),
            metal=metal,
            liquid=liquid,
        ),
        size=size,
        sealed=sealed,
    )
    title = label or fillings.KIND_NAMES[kind]
    return {"figure": drawing, "size": size, "title": title}
