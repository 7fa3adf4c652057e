"""Keeps documents and events."""
