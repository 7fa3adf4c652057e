"""A reading drawn again from its originals: the picture, the table behind it, and what was outlined on each photograph."""

from __future__ import annotations

import io
from dataclasses import dataclass
from typing import Any

from markupsafe import Markup

from proofpan.notebook import Event, NotebookError
from proofpan.notebook.photographs import digests_of
from proofpan.publish.reading_tables import Table, bites_table, cells_table, pieces_table, probe_table
from proofpan.study.errors import TrialError
from proofpan.web.desk import Desk


@dataclass(frozen=True)
class Drawn:
    """A picture to stand in the page, and its tables; or why there is none."""

    pictures: tuple[Markup, ...] = ()
    tables: tuple[Table, ...] = ()
    wanting: str = ""


def originals(desk: Desk, event: Event) -> list[bytes]:
    """The files of a reading.

    Raises: NotebookError in a sentence, where one is missing or was altered.
    """
    return [desk.book.read_file(d) for d in digests_of(event.payload)]


def taps_for(event: Event, which: int) -> dict[str, Any]:
    """What was tapped on one of a reading's photographs."""
    each = event.payload.get("each") or []
    alone = {"share": True}
    return {**alone, **dict(each[which])} if which < len(each) else alone


def in_page(svg: str) -> Markup:
    """A picture of ours within the page, whose policy allows no inline style."""
    import re

    return Markup(re.sub(r' width="100%" style="[^"]*"', ' class="plot"', svg, count=1))


def drawn(desk: Desk, event: Event) -> Drawn:
    """The picture of a reading and its table; a sentence where an original is missing."""
    try:
        return _DRAW[str(event.payload["kind"])](desk, event)
    except KeyError:
        return Drawn()
    except (NotebookError, TrialError) as error:
        return Drawn(wanting=f"It can’t be drawn. {error} The figures stand as they were read.")


def _probe(desk: Desk, event: Event) -> Drawn:
    from proofpan.publish.reading_plots import probe_curve
    from proofpan.steps.readings import log_text, probe_reading

    options = dict(event.payload.get("options") or {"time_column": "time", "temperature_column": "temperature"})
    log = probe_reading(log_text(originals(desk, event)[0]), **options)[1]
    return Drawn((in_page(probe_curve(log)),), (probe_table(log),))


def _sound(desk: Desk, event: Event) -> Drawn:
    from proofpan.publish.reading_plots import sound_levels
    from proofpan.science.sound import trial_reading
    from proofpan.steps.reading_curves import level_over_time
    from proofpan.steps.reading_sound import sound_reading

    tap_s, tap = event.payload.get("tap_s"), event.payload.get("tap_digest")
    tap_file = io.BytesIO(desk.book.read_file(str(tap))) if tap else None
    heard = sound_reading([io.BytesIO(d) for d in originals(desk, event)], tap_s=tuple(tap_s) if tap_s else None, tap_file=tap_file)[1]
    octaves = [r for n, r in trial_reading([a for _, a in heard]).readings.items() if n.startswith("octave_")]
    pictures = [in_page(sound_levels(*level_over_time(r), a, octaves if i == 0 else ())) for i, (r, a) in enumerate(heard)]
    return Drawn(tuple(pictures), tuple(bites_table(a) for _, a in heard))


def _colour(desk: Desk, event: Event) -> Drawn:
    from proofpan.publish.reading_plots import colour_strip
    from proofpan.steps.readings import colour_reading

    datas = originals(desk, event)
    found = colour_reading(datas, each=[taps_for(event, i) for i in range(len(datas))])[1]
    return Drawn((in_page(colour_strip(found)),), (pieces_table(found),))


def _crumb(desk: Desk, event: Event) -> Drawn:
    from proofpan.publish.reading_plots import cell_sizes
    from proofpan.steps.readings import cut_face_reading

    crumb = event.payload.get("crumb")
    if not crumb:
        return Drawn()
    table = cells_table(cut_face_reading(originals(desk, event)[0], **crumb)[1])
    return Drawn((in_page(cell_sizes(table)),) if table.rows else (), (table,))


_DRAW = {"probe": _probe, "sound": _sound, "colour": _colour, "cut-face": _crumb}


def outlined_photograph(desk: Desk, event: Event, which: int) -> bytes:
    """A photograph with its pieces, its reference or its cells outlined; plain where nothing could be found on it.

    Raises: NotebookError where the original is missing.
    """
    from proofpan.publish.reading_overlays import overlay_of_colour, overlay_of_crumb
    from proofpan.science.colour import ColourError
    from proofpan.science.colour.decode import decode
    from proofpan.steps.reading_photographs import cut_face_reading, measured_photograph
    from proofpan.web.pages.cook.photographs import shown_photograph

    data = originals(desk, event)[which]
    try:
        if event.payload["kind"] == "colour":
            picture, found = measured_photograph(data, **taps_for(event, which))
            return overlay_of_colour(picture.srgb, found)
        if event.payload.get("crumb"):
            return overlay_of_crumb(decode(data).srgb, cut_face_reading(data, **event.payload["crumb"])[1])
    except (ColourError, TrialError):
        pass
    return shown_photograph(data)
