"""The one error of this package: a quantity that can't be read, converted or compared."""


class QuantityError(ValueError):
    """A quantity is wrong or something it needs is missing; the text is one sentence saying what would be right."""
