"""The oven: a tray of bread maps its places."""
