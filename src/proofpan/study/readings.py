"""Readings: something measured on a trial, with its own error, beside what was tasted."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

from proofpan.study.brief import Brief
from proofpan.study.errors import TrialError, did_you_mean, quoted
from proofpan.study.fields import Doc
from proofpan.study.frames import given, read_table
from proofpan.study.trials import Trial

READING_COLUMNS = ("trial", "attribute", "value", "error_sd", "n", "how", "file")
INSTRUMENT = "the readings"


class TrialReading(Doc):
    """One figure of one trial, for a measured attribute; without an error of its own it speaks for one piece."""

    trial: int
    attribute: str
    value: float
    error_sd: float | None = None
    n: int = 1
    how: str = ""
    file: str = ""

    @property
    def key(self) -> tuple[int, str]:
        """What a reading is known by: a later one of the same trial and attribute takes its place."""
        return (self.trial, self.attribute)


def read_readings(brief: Brief, trials: Mapping[int, Trial], known: Mapping[tuple[int, str], TrialReading], frame: Any
                  ) -> dict[tuple[int, str], TrialReading]:
    """The readings after a frame's rows: trial, attribute, value[, error_sd, n, how, file].

    Raises: TrialError for an unknown trial or attribute, or a value that isn't a number on the attribute's scale.
    """
    table = read_table(frame, READING_COLUMNS, TrialError, required=("trial", "attribute", "value"))
    scales = {a.name: a.scale for a in brief.attributes if a.measured}
    out = dict(known)
    for i in range(table.length):
        def fail(says: str, column: str, row: int = i) -> TrialError:
            return TrialError(says, file=table.file, line=table.line(row), field=column)

        number = table.get("trial", i)
        if not number.isdigit() or int(number) not in trials:
            first = "" if trials else " Nothing is cooked yet: plan a round first, or bring in its trials."
            raise fail(f"There is no trial {quoted(number)} to put a reading to.{first}", "trial")
        attribute = table.get("attribute", i)
        if attribute not in scales:
            hint = did_you_mean(attribute, list(scales)) if scales else "Mark an attribute as measured: true in the brief."
            raise fail(f"{quoted(attribute)} isn't a measured attribute. {hint}", "attribute")
        value = _number(table.get("value", i))
        low, high = scales[attribute]
        if value is None or not low <= value <= high:
            raise fail(f"{quoted(table.get('value', i))} isn't a number on the scale of {low:g} to {high:g}.", "value")
        error = _number(table.get("error_sd", i))
        pieces = _number(table.get("n", i))
        reading = TrialReading(
            trial=int(number), attribute=attribute, value=value, error_sd=error if error is not None and math.isfinite(error) else None,
            n=int(pieces) if pieces else 1, how=table.get("how", i), file=table.get("file", i),
        )
        out[reading.key] = reading
    return out


def _number(text: str) -> float | None:
    if not given(text):
        return None
    try:
        return float(text)
    except ValueError:
        return None
