from django.forms.renderers import TemplatesSetting


class FormRenderer(TemplatesSetting):
    """Draw every form with the project's own components."""

    form_template_name = "components/form.html"
    field_template_name = "components/field.html"
