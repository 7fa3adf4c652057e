"""The page “notebook”."""
