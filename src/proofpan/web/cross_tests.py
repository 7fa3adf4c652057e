"""Cross-tests as the notebook keeps them: packs sent by link, reports that came back, and what they say of a version."""

from __future__ import annotations

import base64
import binascii
import hashlib
import hmac
import tempfile
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path

from proofpan.notebook import Event, Notebook
from proofpan.notebook.entries import NewEvent
from proofpan.notebook.shelf import CROSS_TEST, SENT, TAKEN_BACK
from proofpan.steps.crosstest import COLUMNS, cross_test
from proofpan.steps.making import recipe_of
from proofpan.steps.tester_pack import answers_of, check_row, main_step, with_done
from proofpan.study.crosstest import CrossTest
from proofpan.study.errors import StudyError
from proofpan.study.frames import cell, given, read_table
from proofpan.study.versions import Version
from proofpan.web.shelfcache import Standing

PICTURES = {"image/jpeg": "jpg", "image/png": "png", "image/webp": "webp"}
LARGEST_PICTURE = 10_000_000


@dataclass(frozen=True)
class SentPack:
    """One pack that was sent by link: to whom, of which version, in whose measures."""

    tester: str
    version: str
    measures: str
    control: str
    digest: str
    key: str


def runs_of(standing: Standing, version: Version) -> tuple[Event, ...]:
    """Reports of a version, in order; one that was taken back is left out."""
    gone = {e.payload["key"] for e in standing.of_kind(TAKEN_BACK)}
    return tuple(e for e in standing.of_kind(CROSS_TEST) if e.payload["version"] == str(version) and e.key not in gone)


def tests_of(standing: Standing, version: Version) -> CrossTest | None:
    """What other kitchens reported of a version."""
    import pandas as pd

    rows = [dict(e.payload["row"]) for e in runs_of(standing, version)]
    return cross_test(recipe_of(standing.study, version), pd.DataFrame(rows).astype(object).fillna("")) if rows else None


def packs_of(standing: Standing) -> tuple[SentPack, ...]:
    """Every pack sent by link, oldest first."""
    return tuple(SentPack(**{k: str(e.payload.get(k, "")) for k in ("tester", "version", "measures", "control", "digest")}, key=e.key)
                 for e in standing.of_kind(SENT))


def digest_of(word: str) -> str:
    """What the notebook keeps of a link's secret word."""
    return hashlib.sha256(word.encode()).hexdigest()


def pack_of(packs: Iterable[SentPack], word: str) -> SentPack | None:
    """The pack that a link's word opens."""
    wanted, found = digest_of(word), None
    for pack in packs:
        if hmac.compare_digest(pack.digest, wanted):
            found = pack
    return found


def keep_answers(book: Notebook, standing: Standing, version: Version, files: Sequence[tuple[str, bytes]], *, beside: str = "") -> int:
    """Keep what testers' forms saved, or a CSV of reports: all of them or none; how many are new (the same file again is nothing new).

    Parameters: version, of which a CSV's rows speak, and answers that name none; files, (name, contents); beside, the control that a CSV's
        marks of a control are of, else the recipe with nothing varied.
    Raises: StudyError for what can't be read.
    """
    read: list[tuple[Version, dict[str, str], str, str]] = []
    for name, data in files:
        if name.casefold().endswith(".csv"):
            read += [(version, row, beside, "") for row in _csv_rows(standing, version, data)]
        else:
            read.append(_from_file(standing, version, data, name))
    pictures = [picture_in(photo) for *_, photo in read]
    gone = {str(e.payload["key"]) for e in standing.of_kind(TAKEN_BACK)}
    events: list[NewEvent] = []
    for (made, row, control, _), picture in zip(read, pictures, strict=True):
        whole = row if picture is None else {**row, "photo": keep_picture(book, *picture)}
        payload = {"version": str(made), "row": whole, **({"control": control} if control else {})}
        key = f"cross-test:{digest_of(repr(sorted(whole.items())) + str(made))[:24]}"
        while key in gone:      # taken back, and brought again on purpose
            key += "+"
        events.append(NewEvent(kind=CROSS_TEST, payload=payload, key=key))
    known = {e.key for e in standing.of_kind(CROSS_TEST)}
    book.append_many(standing.study_id, events)
    return len({e.key for e in events} - known)


def _from_file(standing: Standing, version: Version, data: bytes, name: str) -> tuple[Version, dict[str, str], str, str]:
    """(version, row, control, photograph) of an answers' file; a fault says in which."""
    try:
        held = answers_of(data)
        theirs = standing.study.version(held["version"]) if held["version"] else version
        row = with_done(held["row"], main_step(recipe_of(standing.study, theirs)))
        check_row(standing.study, theirs, row)
    except StudyError as error:
        raise StudyError(f"{Path(name).name}: {error}" if name else str(error), field="answers") from None
    return theirs, row, held["control"], held["photo"]


def _csv_rows(standing: Standing, version: Version, data: bytes) -> list[dict[str, str]]:
    with tempfile.TemporaryDirectory(prefix="proofpan-answers-") as folder:
        path = Path(folder) / "answers.csv"
        path.write_bytes(data)
        cross_test(recipe_of(standing.study, version), path)
        table = read_table(path, COLUMNS, StudyError, required=("tester", "worked"))
    return [{c: cell(v[i]) for c, v in table.columns.items() if given(v[i])} for i in range(table.length)]


def keep_picture(book: Notebook, data: bytes, media_type: str) -> str:
    """A tester's photograph among the originals; its digest.

    Raises: StudyError for what isn't a picture.
    """
    ending = PICTURES.get(media_type.split(";")[0].strip().lower())
    magic = data[:12]
    real = magic[:3] == b"\xff\xd8\xff" or magic[:8] == b"\x89PNG\r\n\x1a\n" or (magic[:4] == b"RIFF" and magic[8:12] == b"WEBP")
    if ending is None or not real or len(data) > LARGEST_PICTURE:
        raise StudyError("The photograph can't be read: a JPEG, PNG or WebP of at most 10 MB is.", field="photo")
    return book.keep_file(data, name=f"cross-test.{ending}", media_type=media_type.split(";")[0].strip().lower()).digest


def picture_in(data_url: str) -> tuple[bytes, str] | None:
    """(bytes, media type) of a picture that stands in an answers' file; none where there is none.

    Raises: StudyError when it is damaged.
    """
    if not data_url:
        return None
    head, _, body = data_url.partition(",")
    try:
        return base64.b64decode(body, validate=True), head.removeprefix("data:").removesuffix(";base64")
    except (binascii.Error, ValueError):
        raise StudyError("The photograph in the answers is damaged; take it out and send it apart.", field="answers") from None
