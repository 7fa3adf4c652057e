"""What stands in a new study until something is said, and names with commas between."""

from __future__ import annotations

UNSAID, ANOTHER = "what varies", "another way"
PLACEHOLDER_QUESTION = f"Is {ANOTHER} better?"


def split_names(text: str) -> list[str]:
    """Names with commas between."""
    return [n.strip() for n in text.replace(";", ",").replace("\n", ",").split(",") if n.strip()]
