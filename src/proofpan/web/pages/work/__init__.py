"""The page “work”."""
