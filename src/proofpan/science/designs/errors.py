"""The one error of this package."""


class DesignError(ValueError):
    """Numbers or words that no design can be made of; the text is one sentence for the reader."""
