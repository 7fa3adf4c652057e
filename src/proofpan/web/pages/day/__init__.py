"""The page “day”."""
