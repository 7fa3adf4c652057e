"""The places of an oven, from a tray of sliced bread: which brown more, kept with the oven and said before a round."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from datetime import date
from typing import TYPE_CHECKING

from proofpan.steps.heat_kitchen import oven_of
from proofpan.study.bread_map import SEEN, BreadMap, map_words, place_words
from proofpan.study.errors import TrialError
from proofpan.study.fields import Doc

if TYPE_CHECKING:
    from proofpan.science.colour import OvenMap
    from proofpan.study.study import Study

class OvenPlaces(Doc):
    """What a tray of bread says of an oven's places."""

    bread: BreadMap
    says: tuple[str, ...]
    cautions: tuple[str, ...]
    how: str


def layout_of(text: str) -> tuple[int, int]:
    """`2x3` as rows and columns.

    Raises: TrialError.
    """
    found = re.fullmatch(r"\s*(\d)\s*[x×by ]+\s*(\d)\s*", text)
    if found is None:
        raise TrialError(f"Places are rows by columns, such as 2x3 (two from back to front, three from left to right), not “{text[:20]}”.", field="places")
    return int(found[1]), int(found[2])


def read_oven_places(
    photographs: Sequence[bytes], turned: Sequence[bytes], places: str, *, reference: str | None = None, on: date | None = None,
) -> OvenPlaces:
    """Which places brown more.

    Parameters: photographs, one of each tray of toasted slices of one loaf, door side at the bottom; turned, the same trays turned round
        by half on the table, in the same order (none: the light can't be told from the oven); places, such as "2x3"; reference, as for
        colour; on, when it was baked.

    Raises: TrialError for photographs that can't be read, don't belong together or leave a place without bread.
    """
    from proofpan.science import colour
    from proofpan.steps.reading_photographs import measured_photograph

    if not photographs:
        raise TrialError("Name a photograph of the tray of bread.", field="file")
    if turned and len(turned) != len(photographs):
        raise TrialError("Each tray is photographed as it stood, and once turned round: give as many turned as straight.", field="turned")
    rows, columns = layout_of(places)
    try:
        straight = [(measured_photograph(data, reference=reference)[1], False) for data in photographs]
        round_ = [(measured_photograph(data, reference=reference)[1], True) for data in turned]
        bakes = [[s, *round_[i : i + 1]] for i, s in enumerate(straight)]
        found = colour.map_oven(bakes, rows, columns)
    except colour.ColourError as error:
        raise TrialError(str(error)) from None
    burnt = tuple(dict.fromkeys(r.caution for r, _ in (*straight, *round_) if r.caution))
    return OvenPlaces(bread=_kept(found, on), says=map_words(_kept(found, on)), cautions=(*found.warnings, *burnt), how=found.how)


def _kept(found: OvenMap, on: date | None) -> BreadMap:
    ends = [[None if math.isinf(x) else round(x, 1) for x in xs] for xs in ([p.low for p in found.places], [p.high for p in found.places])]
    return BreadMap(rows=found.rows, columns=found.columns, darker=tuple(round(p.darker, 1) for p in found.places), low=tuple(ends[0]),
                    high=tuple(ends[1]), told=round(max(found.spread_low, 0.0), 1), on=on)


def keep_places(study: Study, oven: str | None, found: OvenPlaces) -> Study:
    """The study with the map kept with one of its ovens.

    Raises: StudyError, where no oven is meant.
    """
    chosen, kitchen = oven_of(study, oven), study.brief.kitchen
    ovens = tuple(o.model_copy(update={"bread": found.bread}) if o.name == chosen.name else o for o in kitchen.ovens)
    return study.model_copy(update={"brief": study.brief.model_copy(update={"kitchen": kitchen.model_copy(update={"ovens": ovens})})})


def uneven_ovens(study: Study) -> list[str]:
    """Before a round: a sentence for each oven whose places a map told apart, by enough to be seen."""
    out = []
    for oven in study.brief.kitchen.ovens:
        bread = oven.bread
        if bread is None or bread.told <= 0 or max(bread.darker) - min(bread.darker) < SEEN:
            continue
        dark = max(range(len(bread.darker)), key=lambda p: bread.darker[p])
        number = f" (place {dark + 1} of each tray)" if len(bread.darker) == oven.places else ""
        out.append(f"By its map of toasted bread the oven {oven.name} browns most at the {place_words(bread, dark)}{number}: turn trays halfway, and read a "
                   "difference in colour with the place in mind.")
    return out
