"""The page “first”."""
