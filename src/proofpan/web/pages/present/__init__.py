"""The page “present”."""
