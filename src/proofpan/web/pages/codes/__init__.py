"""The page “codes”."""
