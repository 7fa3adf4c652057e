"""The page “designs”."""
