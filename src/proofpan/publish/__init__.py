"""Renders finished documents. Decides nothing."""
