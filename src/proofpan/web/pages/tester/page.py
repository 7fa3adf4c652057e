"""A tester's pack by link: the recipe as it will be printed, and the form; no account."""

from __future__ import annotations

from dataclasses import dataclass

from proofpan.study.crosstest import AskedLine


@dataclass(frozen=True)
class PackPage:
    """The pack, or the thanks once the answers are with the kitchen."""

    done: bool
    title: str
    facts: tuple[str, ...]
    contains: str
    cautions: tuple[str, ...]
    take: tuple[tuple[str, str], ...]
    steps: tuple[AskedLine, ...]
    lines: tuple[AskedLine, ...]
    notes: tuple[str, ...]
    unit: str
    control: str
    control_request: str
    control_lines: tuple[str, ...]
    tester: str
    action: str
    invented: bool
