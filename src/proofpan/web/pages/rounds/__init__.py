"""The page “rounds”."""
