"""The page “cross-tests”."""
