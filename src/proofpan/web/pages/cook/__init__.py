"""The page “cook”."""
