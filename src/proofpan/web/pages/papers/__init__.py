"""Papers: the trade’s own documents as PDF."""
