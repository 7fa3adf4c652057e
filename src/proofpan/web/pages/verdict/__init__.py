"""The page “verdict”."""
