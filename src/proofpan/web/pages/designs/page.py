"""Classical designs: what was asked for, and the trials with what they can't tell apart."""

from __future__ import annotations

from dataclasses import dataclass

from proofpan.steps.classical import ClassicalDesign


@dataclass(frozen=True)
class DesignsPage:
    """What the template reads."""

    kind: str
    factors: str
    generators: str
    runs: str
    model: str
    per_load: str
    loads: str
    plates: str
    in_each: str
    tasters: str
    seed: str
    found: ClassicalDesign | None
    csv_href: str
