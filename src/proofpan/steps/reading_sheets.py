"""The contact sheet of a study's photographs: shuffled and without a word on it while a tasting is blind, labelled after."""

from __future__ import annotations

import io
import random
from collections.abc import Collection, Mapping, Sequence
from typing import TYPE_CHECKING

from proofpan.steps.reading_photographs import in_pixels, px_per_mm
from proofpan.study.errors import TrialError
from proofpan.study.fields import Doc
from proofpan.study.study import Study
from proofpan.study.words import version_words

if TYPE_CHECKING:
    from proofpan.science import colour

MOST_TRIALS, MOST_SHOTS = 24, 2
VIEWS = ("whole", "cut")
SHOT_PIXELS = 700_000  # a cell of the sheet is far smaller


class Shot(Doc):
    """One photograph of a trial, and what the kitchen said of it.

    Attributes: view, "whole", "cut" or empty; marks, two taps as shares of width and height, `mm` apart; plate_mm, the diameter of the
        plate's flat, where one lies in it; card, taps on the grey card, likewise shares.
    """

    data: bytes
    view: str = ""
    marks: tuple[tuple[float, float], ...] = ()
    mm: float | None = None
    plate_mm: float | None = None
    card: tuple[tuple[float, float], ...] = ()


class Sheet(Doc):
    """A PNG, whether it is labelled and at one scale, the trials in it and what to know of it."""

    png: bytes
    labelled: bool
    trials: tuple[int, ...]
    warnings: tuple[str, ...]
    px_per_mm: float | None = None

    @property
    def says(self) -> str:
        """One sentence under the picture."""
        order = "Each under its version." if self.labelled else "Shuffled and without a word on it: some are still to be tasted blind."
        scale = "" if self.px_per_mm is None else f" All at one scale: 10 mm are {10 * self.px_per_mm:.0f} points."
        return order + scale


def is_blind(study: Study, trials: Collection[int], open_rounds: Collection[int]) -> bool:
    """Whether any of these trials is still to be tasted blind: its round's tasting is open, or nobody has marked it yet."""
    marked = {(b.round, b.trial) for b in study.ballot_records}
    shown = [t for t in study.trial_records if t.trial in trials]
    return any(t.round in open_rounds or (t.round, t.trial) not in marked for t in shown)


def contact_sheet(study: Study, photographs: Mapping[int, Sequence[bytes | Shot]], *, blind: bool, seed: int = 0) -> Sheet:
    """All versions that were photographed, whole and cut, in one picture at one scale and one white balance as far as the photographs tell.

    Parameters: photographs, {trial: its pictures}; of several of one view the last counts; blind, shuffled by `seed` and unlabelled.
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
    png, warnings, scale = composed([whole_and_cut(photographs[t]) for t in shown], labels)
    return Sheet(png=png, labelled=not blind, trials=() if blind else tuple(shown), warnings=warnings, px_per_mm=scale)


def whole_and_cut(pictures: Sequence[bytes | Shot]) -> list[Shot]:
    """The last whole one, then the last cut one; what wasn't marked fills the places in order."""
    shots = [p if isinstance(p, Shot) else Shot(data=p) for p in pictures]
    marked = {s.view: s for s in shots if s.view in VIEWS}
    plain = [s for s in shots if s.view not in VIEWS]
    out = [marked.get(view) or (plain.pop(0) if plain else None) for view in VIEWS]
    return [s for s in out if s is not None][:MOST_SHOTS]


def sheet_of(rows: Sequence[Sequence[bytes | Shot]], labels: Sequence[str] | None) -> tuple[bytes, tuple[str, ...]]:
    """The sheet itself as PNG without any note of a camera, and what to know of it.

    Raises: TrialError for a photograph that can't be read, or labels that don't match.
    """
    return composed(rows, labels)[:2]


def composed(rows: Sequence[Sequence[bytes | Shot]], labels: Sequence[str] | None) -> tuple[bytes, tuple[str, ...], float | None]:
    """As `sheet_of`, with the sheet's points a millimetre; None where it isn't at one scale."""
    from PIL import Image

    from proofpan.science import colour

    try:
        made = colour.contact_sheet([[_shot(p if isinstance(p, Shot) else Shot(data=p)) for p in row] for row in rows], labels=labels)
    except colour.ColourError as error:
        raise TrialError(str(error)) from None
    out = io.BytesIO()
    Image.fromarray(made.srgb).save(out, "PNG")
    return out.getvalue(), tuple(made.warnings), made.px_per_mm if made.same_scale else None


def _shot(shot: Shot) -> colour.Shot:
    """Balanced at full size, then made small: two dozen whole photographs would not fit in a kitchen's laptop."""
    from proofpan.science import colour
    from proofpan.science.colour.decode import decode

    picture = decode(shot.data)
    deep, wide = picture.srgb.shape[:2]
    card = in_pixels(shot.card, wide, deep, True)
    full = colour.scene(picture)
    balance = colour.find_balance(full, "grey card" if card else None, card or None)
    if shot.view == "cut" and balance.kind == "white plate" and not shot.plate_mm:
        balance = colour.no_balance(full)  # a pale crumb that fills the picture looks like a plate
    scale = px_per_mm(picture, balance, shot.marks, shot.mm, shot.plate_mm)
    small = colour.scene(picture, SHOT_PIXELS)
    return colour.Shot(colour.shown(small), balance=balance, px_per_mm=scale / small.step if scale else None)
