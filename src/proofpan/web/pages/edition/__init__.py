"""The page “edition”: one frozen text."""
