"""The page “reading”."""
