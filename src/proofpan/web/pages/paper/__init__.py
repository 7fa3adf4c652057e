"""The page “paper”."""
