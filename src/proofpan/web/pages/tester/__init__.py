"""The page “tester”: a pack by link."""
