"""Who waits for a piece of work: one of several devices that asked for the same may leave without stopping it for the others."""

from __future__ import annotations

import hashlib
from pathlib import Path

WAITS, LEFT = "waits-", "left-"
LEFT_SAYS = "Stopped on this device. Another one still waits for it, so it goes on there."


def _mark(kind: str, who: str) -> str:
    return kind + hashlib.sha256(who.encode()).hexdigest()[:16]


def join(folder: Path, who: str) -> None:
    """A device waits for this work, perhaps again; nobody in particular (an empty name) leaves no mark."""
    if who:
        (folder / _mark(WAITS, who)).touch()
        (folder / _mark(LEFT, who)).unlink(missing_ok=True)


def leave(folder: Path, who: str) -> bool:
    """A device waits no more; whether another one still does."""
    if who:
        (folder / _mark(LEFT, who)).touch()
        (folder / _mark(WAITS, who)).unlink(missing_ok=True)
    return bool(who) and any(folder.glob(f"{WAITS}*"))


def has_left(folder: Path, who: str) -> bool:
    """Whether a device stopped it for itself."""
    return bool(who) and (folder / _mark(LEFT, who)).exists()
