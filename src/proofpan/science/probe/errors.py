"""What is refused in this room."""


class ProbeError(ValueError):
    """A probe log that can't be used; the text is one sentence for the cook."""
