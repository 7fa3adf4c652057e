"""The page “tasting”."""
