"""What pooling refuses."""


class PoolingError(ValueError):
    """Studies that can't be pooled as given; the text says why and what would be right."""
