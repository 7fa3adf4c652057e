"""What the notebook knows of each trial's photographs: their files, what they show, their scale."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from proofpan.notebook.entries import Event

REPORT, PHOTOGRAPH, PHOTOGRAPH_NOTED = "report", "photograph", "photograph noted"
ON_PHOTOGRAPHS = ("colour", "cut-face")


def digests_of(payload: Mapping[str, Any]) -> list[str]:
    """The digests of a reading's files, in order."""
    several = payload.get("digests") or [payload.get("digest")]
    return [str(d) for d in several if d]


def photographs_of(events: Iterable[Event]) -> dict[int, dict[str, dict[str, Any]]]:
    """{trial: {digest: view, marks, mm, plate_mm, card as far as they are known}}, in the order the photographs were taken.

    From the test sheets, then from what was measured; what was noted of a photograph afterwards counts before either.
    """
    found = list(events)
    out: dict[int, dict[str, dict[str, Any]]] = {}
    for event in (e for kind in (PHOTOGRAPH, REPORT) for e in found if e.kind == kind):
        said = event.payload
        if event.kind == PHOTOGRAPH or said.get("kind") in ON_PHOTOGRAPHS:
            held = out.setdefault(int(said["trial"]), {})
            for i, digest in enumerate(digests_of(said)):
                held.setdefault(digest, {}).update(_known(said, i))
    for event in (e for e in found if e.kind == PHOTOGRAPH_NOTED):
        known = out.get(int(event.payload["trial"]), {}).get(str(event.payload["digest"]))
        if known is not None:
            known |= {k: v for k, v in event.payload.items() if k in ("view", "plate_mm", "marks", "mm", "card")}
    return {t: {d: _points(known) for d, known in held.items()} for t, held in out.items()}


def _known(said: Mapping[str, Any], which: int) -> dict[str, Any]:
    known = {k: said[k] for k in ("view", "plate_mm") if said.get(k)}
    if crumb := said.get("crumb"):
        x1, y1, x2, y2, mm = crumb["scale"]
        known |= {"marks": ((x1, y1), (x2, y2)), "mm": mm}
    each = said.get("each") or []
    if which < len(each) and each[which].get("card") and each[which].get("reference") == "grey card":
        known["card"] = each[which]["card"]
    return known


def _points(known: dict[str, Any]) -> dict[str, Any]:
    return {k: tuple(tuple(p) for p in v) if k in ("marks", "card") else v for k, v in known.items()}
