"""Minutes between two written times of a test sheet."""

from __future__ import annotations

from datetime import datetime, timedelta


def minutes_between(start: str, out: str) -> float | None:
    """Minutes from start to out (HH:MM or ISO); over midnight where out is earlier; none where either is missing."""
    begin, end = _time(start), _time(out)
    if begin is None or end is None:
        return None
    if end < begin and len(out) <= 5:
        end += timedelta(days=1)
    return (end - begin).total_seconds() / 60 if end >= begin else None


def _time(text: str) -> datetime | None:
    if not text:
        return None
    try:
        if len(text) <= 5:
            hours, minutes = text.split(":")
            return datetime(2000, 1, 1, int(hours), int(minutes))
        return datetime.fromisoformat(text)
    except ValueError:
        return None
