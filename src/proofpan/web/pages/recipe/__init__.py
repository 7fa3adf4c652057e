"""The page “recipe”."""
