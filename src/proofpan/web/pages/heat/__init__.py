"""The page “readings”."""
