"""The documents: immutable and validated."""
