"""Copies elsewhere (web, card, caption, syndicated): which are out of date, by which corrections, the urgent ones first."""

from __future__ import annotations

from collections.abc import Sequence

from proofpan.study.edition import Copy, Edition
from proofpan.study.fields import Doc

KINDS = ("web", "card", "caption", "syndicated", "script", "other")


class CopyState(Doc):
    """One copy: what it lacks."""

    copy_: Copy
    current: bool
    urgent: bool
    says: str
    lacks: tuple[str, ...] = ()


def copies_to_mend(editions: Sequence[Edition], copies: Sequence[Copy]) -> tuple[CopyState, ...]:
    """Every copy with the corrections it lacks; first those that lack one about safety, then the oldest.

    Parameters: editions in any order; copies, each with the edition that it shows.
    """
    newest = max((e.number for e in editions), default=0)
    out = []
    for copy in copies:
        missing = sorted((e for e in editions if e.number > copy.edition), key=lambda e: (not e.safety, e.number))
        urgent = any(e.safety for e in missing)
        lacks = tuple(f"{'Urgent: ' if e.safety else ''}edition {e.number}: {e.why or 'another text'}" for e in missing)
        says = (f"It shows edition {copy.edition}" + (", the newest." if copy.edition >= newest else f"; edition {newest} is out."))
        out.append(CopyState(copy_=copy, current=not missing, urgent=urgent, says=says, lacks=lacks))
    return tuple(sorted(out, key=lambda c: (not c.urgent, c.current, c.copy_.edition, c.copy_.where)))


def warning_on(edition: Edition, editions: Sequence[Edition]) -> str:
    """What an edition must show on top: a later correction about safety, else its own; empty when there is none."""
    later = [e for e in editions if e.number > edition.number and e.safety]
    if later:
        newest = later[-1]
        return f"Corrected for safety in edition {newest.number}: {newest.why} Use that edition, not this one."
    return edition.warning or ""
