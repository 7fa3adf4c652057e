"""Cross-tests as the notebook keeps them: packs sent by link, reports that came back, and what they say of a version."""

from __future__ import annotations

import base64
import binascii
import hashlib
import hmac
from collections.abc import Iterable
from dataclasses import dataclass

from proofpan.notebook import Event, Notebook
from proofpan.notebook.shelf import CROSS_TEST, SENT, TAKEN_BACK
from proofpan.steps.crosstest import cross_test
from proofpan.steps.making import recipe_of
from proofpan.study.crosstest import CrossTest
from proofpan.study.errors import StudyError
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
