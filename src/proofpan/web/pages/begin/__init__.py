"""The page “begin”."""
