"""The page “alone”."""
