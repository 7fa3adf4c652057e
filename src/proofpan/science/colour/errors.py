"""What is refused in this room."""


class ColourError(ValueError):
    """A photograph, a point or a colour that can't be used; the text is one sentence for the cook."""
