"""What is refused in this room."""


class HeatError(ValueError):
    """A shape, property, stage or target that can't be used; the text is one sentence for the cook."""
