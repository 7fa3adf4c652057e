"""The kitchen pages and the tasters ballots."""
