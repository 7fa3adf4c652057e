"""Photographs from a phone: checked before they are kept, shown again small and without what a camera writes into them."""

from __future__ import annotations

import io
import struct
import warnings
from typing import Any

from proofpan.study.errors import TrialError

LARGEST = 25_000_000
MOST_PIXELS = 60_000_000  # as the colour room reads
SHOWN = 1600
DAMAGED = (OSError, SyntaxError, ValueError, EOFError, IndexError, struct.error, MemoryError)
KINDS = {"JPEG": "image/jpeg", "PNG": "image/png", "HEIF": "image/heic", "WEBP": "image/webp", "MPO": "image/jpeg"}


def checked_photograph(data: bytes) -> str:
    """The media type of a photograph.

    Raises: TrialError for what isn't one, or is too large to open.
    """
    if not data:
        raise TrialError("The file is empty: take the photograph again.", field="photograph")
    if len(data) > LARGEST:
        raise TrialError("A photograph holds at most 25 MB.", field="photograph")
    picture = _opened(data)
    if picture.width * picture.height > MOST_PIXELS:
        raise TrialError(
            f"The photograph has {picture.width:,} × {picture.height:,} points: at most 60 million are opened.", field="photograph"
        )
    kind = KINDS[str(picture.format)]
    try:
        picture.draft("RGB", (64, 64))  # a JPEG is then unpacked at an eighth of its size, and still to its end
        picture.load()
    except DAMAGED:
        raise TrialError("The photograph is damaged or cut short: copy it from the phone again.", field="photograph") from None
    return kind


def points_of(data: bytes) -> int:
    """How many points a checked photograph has."""
    picture = _opened(data)
    return int(picture.width * picture.height)


def shown_photograph(data: bytes) -> bytes:
    """A JPEG to look at: turned upright, at most 1,600 points wide, with nothing of the camera's notes."""
    from PIL import ImageOps

    picture = _opened(data)
    if picture.width * picture.height > MOST_PIXELS:
        raise TrialError("The photograph is larger than the 60 million points that are opened.", field="photograph")
    profile = picture.info.get("icc_profile")
    try:
        picture.draft("RGB", (SHOWN * 2, SHOWN * 2))
        upright = ImageOps.exif_transpose(picture)
        upright = upright if upright.mode in ("RGB", "CMYK", "L") else upright.convert("RGB")
        upright.thumbnail((SHOWN, SHOWN))
        upright = _in_srgb(upright, profile)
    except DAMAGED:
        raise TrialError("The photograph is damaged or cut short: copy it from the phone again.", field="photograph") from None
    out = io.BytesIO()
    upright.save(out, "JPEG", quality=82)
    return out.getvalue()


def _in_srgb(picture: Any, profile: bytes | None) -> Any:
    """A phone's wide colours as the screen shows them; its notes are left off, and the profile with them."""
    from PIL import ImageCms

    if profile:
        try:
            source, space = ImageCms.ImageCmsProfile(io.BytesIO(profile)), ImageCms.createProfile("sRGB")
            return ImageCms.profileToProfile(picture, source, space, outputMode="RGB") or picture.convert("RGB")
        except (ImageCms.PyCMSError, OSError, ValueError):
            pass
    return picture.convert("RGB")


def _opened(data: bytes):  # type: ignore[no-untyped-def]
    import pillow_heif
    from PIL import Image, UnidentifiedImageError

    pillow_heif.register_heif_opener()
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore", Image.DecompressionBombWarning)  # our own limit is stricter
            picture = Image.open(io.BytesIO(data))
    except (UnidentifiedImageError, Image.DecompressionBombError, OSError, ValueError):
        raise TrialError("That isn’t a photograph this can read: JPEG, PNG, WebP or HEIC.", field="photograph") from None
    if picture.format not in KINDS:
        raise TrialError(f"A {picture.format} file isn’t taken: JPEG, PNG, WebP or HEIC.", field="photograph")
    return picture
