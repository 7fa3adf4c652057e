"""What is refused in this room."""


class SoundError(ValueError):
    """A recording or a figure that can't be used; the text is one sentence for the cook."""
