"""The page “brief”."""
