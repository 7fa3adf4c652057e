"""The page “editions”."""
