"""The one error of this package."""


class PanelError(ValueError):
    """Answers, counts or settings that a panel method can't take; the text is one sentence for the reader."""
