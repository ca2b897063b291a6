"""Lists as CSV that a spreadsheet opens safely."""

from django_tables2.export import ExportMixin, TableExport


def disarm(value):
    """Keep a spreadsheet from taking text for a formula."""
    text = "" if value is None else str(value)
    return f"'{text}" if text.startswith(("=", "+", "-", "@", "\t", "\r")) else text


class CsvExport(TableExport):
    """CSV only: the stock class answers any format named in the query string."""

    @classmethod
    def is_valid_format(cls, export_format):
        return export_format == cls.CSV

    def table_to_dataset(self, *args, **kwargs):
        dataset = super().table_to_dataset(*args, **kwargs)
        dataset.add_formatter(None, disarm)
        return dataset


class CsvMixin(ExportMixin):
    """A list that can be had as CSV. Set `export_name`."""

    export_class = CsvExport
    export_formats = ("csv",)
