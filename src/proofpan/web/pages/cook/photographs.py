"""Photographs from a phone: checked before they are kept, shown again small and without what a camera writes into them."""

from __future__ import annotations

import io

from proofpan.study.errors import TrialError

LARGEST = 25_000_000
MOST_PIXELS = 120_000_000
SHOWN = 1600
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
            f"The photograph has {picture.width:,} × {picture.height:,} points: at most 120 million are opened.", field="photograph"
        )
    try:
        picture.verify()
    except (OSError, SyntaxError, ValueError):
        raise TrialError("The photograph is damaged: take it again.", field="photograph") from None
    return KINDS[str(picture.format)]


def shown_photograph(data: bytes) -> bytes:
    """A JPEG to look at: turned upright, at most 1,600 points wide, with nothing of the camera's notes."""
    from PIL import ImageOps

    picture = _opened(data)
    picture.draft("RGB", (SHOWN * 2, SHOWN * 2))
    upright = ImageOps.exif_transpose(picture).convert("RGB")
    upright.thumbnail((SHOWN, SHOWN))
    out = io.BytesIO()
    upright.save(out, "JPEG", quality=82)
    return out.getvalue()


def _opened(data: bytes):  # type: ignore[no-untyped-def]
    import pillow_heif
    from PIL import Image, UnidentifiedImageError

    pillow_heif.register_heif_opener()
    try:
        picture = Image.open(io.BytesIO(data))
    except (UnidentifiedImageError, Image.DecompressionBombError, OSError, ValueError):
        raise TrialError("That isn’t a photograph this can read: JPEG, PNG, WebP or HEIC.", field="photograph") from None
    if picture.format not in KINDS:
        raise TrialError(f"A {picture.format} file isn’t taken: JPEG, PNG, WebP or HEIC.", field="photograph")
    return picture
