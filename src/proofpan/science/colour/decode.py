"""Bytes of a picture file → a photograph in sRGB; the only module of this room that reads files."""

from __future__ import annotations

import io
import struct
import warnings
from typing import TYPE_CHECKING

import numpy as np

from .errors import ColourError
from .photograph import Photograph

if TYPE_CHECKING:
    from PIL import Image as PillowImage

LARGEST_PIXELS = 60_000_000
LARGEST_BYTES = 120_000_000
# no other reader is let near the bytes: some of them start other programs
_KINDS = ("JPEG", "PNG", "HEIF", "AVIF", "WEBP", "TIFF")


def decode(data: bytes) -> Photograph:
    """Decode a JPEG, PNG or HEIC to upright 8-bit sRGB.

    A colour profile inside the file is converted from (relative colorimetric, by LittleCMS); without one the file is taken
    as sRGB, and that is noted. Transparency is laid on white.
    Raises: ColourError, in one sentence, for a file that isn't a picture, is damaged or cut short, or has over 60 megapixels
        (asked of its header, before anything is unpacked).
    """
    from PIL import Image, UnidentifiedImageError

    if len(data) > LARGEST_BYTES:
        raise ColourError(f"The file has {len(data) / 1e6:.0f} MB; pictures up to {LARGEST_BYTES / 1e6:.0f} MB are read.")
    _let_heic_in()
    try:
        with warnings.catch_warnings():
            # our own limit, below, is stricter than the one it would warn of
            warnings.simplefilter("ignore", Image.DecompressionBombWarning)
            with Image.open(io.BytesIO(data), formats=_KINDS) as picture:
                width, height = picture.size
                if width * height > LARGEST_PIXELS:
                    raise ColourError(
                        f"The photograph has {width * height / 1e6:.0f} megapixels; up to {LARGEST_PIXELS / 1e6:.0f} are read."
                    )
                picture.load()
                return _to_srgb(picture)
    except Image.DecompressionBombError:
        limit = LARGEST_PIXELS / 1e6
        raise ColourError(f"The photograph is far larger than the {limit:.0f} megapixels that are read.") from None
    except UnidentifiedImageError as error:
        raise ColourError("This file isn't a photograph that can be read; use JPEG, PNG or HEIC.") from error
    except (OSError, SyntaxError, ValueError, EOFError, IndexError, struct.error, MemoryError) as error:
        if isinstance(error, ColourError):
            raise
        raise ColourError("The photograph is damaged or cut short; copy it from the phone again.") from error


def _let_heic_in() -> None:
    import pillow_heif

    pillow_heif.register_heif_opener()


def _to_srgb(picture: PillowImage.Image) -> Photograph:
    from PIL import Image, ImageCms, ImageOps

    kind = str(picture.format)
    profile_bytes = picture.info.get("icc_profile")
    notes = []
    upright: PillowImage.Image = ImageOps.exif_transpose(picture) or picture
    if upright.mode in ("I", "I;16", "I;16B", "F"):
        raise ColourError("A picture of one channel holds no colour; use a colour photograph.")
    if upright.mode in ("RGBA", "LA", "PA", "RGBa", "La") or "transparency" in upright.info:
        layer = upright.convert("RGBA")
        upright = Image.alpha_composite(Image.new("RGBA", layer.size, "white"), layer).convert("RGB")
    name = ""
    if profile_bytes:
        try:
            source = ImageCms.ImageCmsProfile(io.BytesIO(profile_bytes))
            name = ImageCms.getProfileDescription(source).strip()
            if upright.mode not in ("RGB", "CMYK", "L"):
                upright = upright.convert("RGB")
            if "sRGB" not in name or upright.mode != "RGB":
                space, intent = ImageCms.createProfile("sRGB"), ImageCms.Intent.RELATIVE_COLORIMETRIC
                upright = ImageCms.profileToProfile(upright, source, space, intent, outputMode="RGB") or upright
        except (ImageCms.PyCMSError, OSError, ValueError):
            notes.append("The colour profile in the file can't be read; its values were taken as sRGB.")
            name = ""
    elif upright.mode == "CMYK":
        raise ColourError("A CMYK picture without a profile has no stated colour; use the photograph as it left the phone.")
    else:
        notes.append("The file names no colour profile; its values were taken as sRGB.")
    array = np.asarray(upright.convert("RGB"))
    array.setflags(write=False)
    return Photograph(array, kind, name, tuple(notes))
