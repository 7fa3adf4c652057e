"""The page “backups”."""
