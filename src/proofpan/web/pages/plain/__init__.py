"""The page “plain”."""
