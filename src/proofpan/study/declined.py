"""What was proposed and not taken, with the reason: kept in the brief, so that it is undone, exported and not proposed again."""

from __future__ import annotations

from proofpan.study.fields import Day, Doc, Text


class Declined(Doc):
    """One proposal that isn't for this kitchen: in the words it was made in, why not, and since when."""

    proposal: Text
    why: Text = ""
    on: Day | None = None
