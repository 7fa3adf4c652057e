"""The page “ballot”."""
