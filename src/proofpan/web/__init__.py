"""The kitchen's pages and the tasters' ballots: server-rendered, at home without a network, usable without script."""
