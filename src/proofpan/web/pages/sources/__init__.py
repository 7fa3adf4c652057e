"""The page “sources”."""
