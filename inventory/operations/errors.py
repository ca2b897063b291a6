"""What a person may ask in vain. Every message is fit to show."""


class OperationError(Exception):
    """A refusal, with the form field it belongs to (None: the form as a whole)."""

    def __init__(self, message, field=None):
        super().__init__(message)
        self.field = field


class NotEnough(OperationError):
    """More was asked for than there is."""

    def __init__(self, message, *, wanted_ug, available_ug, field=None):
        super().__init__(message, field)
        self.wanted_ug = wanted_ug
        self.available_ug = available_ug


class Disagrees(OperationError):
    """A reading disagrees with the record, and somebody has to decide why.

    `outcome` holds D and u(D); `fits` are other vessels the reading would fit.
    """

    def __init__(self, message, *, outcome, fits=(), causes=(), field=None):
        super().__init__(message, field)
        self.outcome = outcome
        self.fits = fits
        self.causes = causes
