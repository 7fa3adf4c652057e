"""The invented study that a newcomer can open."""

from __future__ import annotations

from importlib import resources
from pathlib import Path

NAME = ("seeded_oat_crackers", "study.yaml")


def demo_text() -> str | None:
    """The file's text: as it was installed, or beside the source; none where neither is."""
    packaged = resources.files("proofpan").joinpath("examples", *NAME)
    if packaged.is_file():
        return packaged.read_text(encoding="utf-8")
    beside = Path(__file__).parents[3].joinpath("examples", *NAME)
    return beside.read_text(encoding="utf-8") if beside.is_file() else None
