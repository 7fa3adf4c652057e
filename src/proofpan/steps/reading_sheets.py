"""The contact sheet of a study's photographs: shuffled and without a word on it while a tasting is blind, labelled after."""

from __future__ import annotations

import io
import random
from collections.abc import Collection, Mapping, Sequence

from proofpan.study.errors import TrialError
from proofpan.study.fields import Doc
from proofpan.study.study import Study
from proofpan.study.words import version_words

MOST_TRIALS, MOST_SHOTS = 24, 2


class Sheet(Doc):
    """A PNG, whether it is labelled, the trials in it and what to know of it."""

    png: bytes
    labelled: bool
    trials: tuple[int, ...]
    warnings: tuple[str, ...]


def is_blind(study: Study, trials: Collection[int], open_rounds: Collection[int]) -> bool:
    """Whether any of these trials is still to be tasted blind: its round's tasting is open, or nobody has marked it yet."""
    marked = {(b.round, b.trial) for b in study.ballot_records}
    shown = [t for t in study.trial_records if t.trial in trials]
    return any(t.round in open_rounds or (t.round, t.trial) not in marked for t in shown)


def contact_sheet(study: Study, photographs: Mapping[int, Sequence[bytes]], *, blind: bool, seed: int = 0) -> Sheet:
    """All versions that were photographed, in one picture at one white balance.

    Parameters: photographs, {trial: its pictures, whole then cut}; blind, shuffled by `seed` and unlabelled.
    Raises: TrialError where there is no photograph, too many trials, or one that can't be read.
    """
    shown = sorted(t for t, pictures in photographs.items() if pictures)
    if not shown:
        raise TrialError("No trial has a photograph yet: take one on its test sheet.")
    if len(shown) > MOST_TRIALS:
        raise TrialError(f"{len(shown)} trials were photographed: a sheet holds {MOST_TRIALS}. Choose a round.")
    if blind:
        random.Random(seed).shuffle(shown)
    words = {t.trial: f"{t.trial}: {version_words(t.version)}" for t in study.trial_records}
    labels = None if blind else [words.get(t, str(t)) for t in shown]
    png, warnings = sheet_of([photographs[t][:MOST_SHOTS] for t in shown], labels)
    return Sheet(png=png, labelled=not blind, trials=() if blind else tuple(shown), warnings=warnings)


def sheet_of(rows: Sequence[Sequence[bytes]], labels: Sequence[str] | None) -> tuple[bytes, tuple[str, ...]]:
    """The sheet itself as PNG without any note of a camera, and what to know of it.

    Raises: TrialError for a photograph that can't be read, or labels that don't match.
    """
    from PIL import Image

    from proofpan.science import colour
    from proofpan.science.colour.decode import decode

    try:
        shots = []
        for row in rows:
            pictures = [decode(data) for data in row]
            shots.append([colour.Shot(p, balance=colour.find_balance(colour.scene(p))) for p in pictures])
        made = colour.contact_sheet(shots, labels=labels)
    except colour.ColourError as error:
        raise TrialError(str(error)) from None
    out = io.BytesIO()
    Image.fromarray(made.srgb).save(out, "PNG")
    return out.getvalue(), tuple(made.warnings)
