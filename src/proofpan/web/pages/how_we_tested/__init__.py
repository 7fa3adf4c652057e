"""The page “how we tested”."""
