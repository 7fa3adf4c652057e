"""The page “triangles”."""
