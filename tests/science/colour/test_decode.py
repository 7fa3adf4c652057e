"""Files: kinds, turning, profiles, bombs, damage."""

import struct
import zlib

import numpy as np
import pytest
from PIL import Image

from proofpan.science.colour import ColourError
from proofpan.science.colour.decode import decode

from .table import saved

rng = np.random.default_rng(2)
PICTURE = np.kron(rng.integers(30, 220, (12, 16, 3)), np.ones((20, 20, 1))).astype(np.uint8)


@pytest.mark.parametrize("kind, options", [("JPEG", {"quality": 95}), ("PNG", {}), ("HEIF", {"quality": 90}), ("TIFF", {})])
def test_each_kind_is_read(kind, options):
    from pillow_heif import register_heif_opener

    register_heif_opener()
    photo = decode(saved(PICTURE, kind, **options))
    assert photo.srgb.shape == PICTURE.shape and photo.kind == kind
    middle = (slice(10, None, 20), slice(10, None, 20))
    assert np.abs(photo.srgb[middle].astype(int) - PICTURE[middle]).max() <= 6


@pytest.mark.parametrize("orientation, turn", [(3, 2), (6, 3), (8, 1)])
def test_a_phone_held_sideways_is_turned_upright(orientation, turn):
    exif = Image.Exif()
    exif[0x0112] = orientation
    photo = decode(saved(PICTURE, "PNG", exif=exif))
    assert np.array_equal(photo.srgb, np.rot90(PICTURE, turn))


def wide_gamut_profile():
    """A matrix profile with the primaries of Display P3 (SMPTE EG 432-1 adapted to D50) and gamma 2.2, as ICC.1 lays it out."""

    def tag_xyz(x, y, z):
        return b"XYZ \0\0\0\0" + b"".join(struct.pack(">i", round(v * 65536)) for v in (x, y, z))

    curve = b"curv\0\0\0\0" + struct.pack(">IH", 1, round(2.2 * 256)) + b"\0\0"
    text = b"wide test"
    description = b"desc\0\0\0\0" + struct.pack(">I", len(text) + 1) + text + b"\0" + b"\0" * 79
    tags = {
        b"desc": description,
        b"wtpt": tag_xyz(0.9642, 1.0, 0.8249),
        b"rXYZ": tag_xyz(0.51512, 0.24120, -0.00105),
        b"gXYZ": tag_xyz(0.29198, 0.69225, 0.04189),
        b"bXYZ": tag_xyz(0.15710, 0.06657, 0.78407),
        b"rTRC": curve,
        b"gTRC": curve,
        b"bTRC": curve,
    }
    table, body, at = struct.pack(">I", len(tags)), b"", 128 + 4 + 12 * len(tags)
    for name, data in tags.items():
        data += b"\0" * (-len(data) % 4)
        table += name + struct.pack(">II", at + len(body), len(data))
        body += data
    size = 128 + len(table) + len(body)
    head = struct.pack(">I4sI4s4s4s", size, b"test", 0x02400000, b"mntr", b"RGB ", b"XYZ ") + b"\0" * 12 + b"acsp"
    head += b"\0" * 28 + struct.pack(">iii", 63190, 65536, 54061)
    return head.ljust(128, b"\0") + table + body


def test_a_wide_gamut_profile_is_converted_not_ignored():
    red = np.full((20, 20, 3), (200, 60, 40), np.uint8)
    photo = decode(saved(red, "PNG", icc_profile=wide_gamut_profile()))
    assert photo.profile == "wide test"
    # the same light in sRGB: through linear P3 → XYZ(D50) → sRGB by the profile's own numbers
    linear = (np.array([200, 60, 40]) / 255) ** 2.2
    xyz = linear @ np.array([[0.51512, 0.24120, -0.00105], [0.29198, 0.69225, 0.04189], [0.15710, 0.06657, 0.78407]])
    from proofpan.science.colour.spaces import adapt_d50_to_d65_xyz, linear_from_xyz, srgb_from_linear

    want = srgb_from_linear(linear_from_xyz(adapt_d50_to_d65_xyz(xyz))) * 255
    assert photo.srgb[5, 5].astype(float) == pytest.approx(np.clip(want, 0, 255), abs=2.5)
    assert photo.srgb[5, 5, 0] > 208  # taken as sRGB it would have stayed 200


def test_a_broken_profile_is_said():
    photo = decode(saved(PICTURE, "PNG", icc_profile=b"not a profile" * 20))
    assert np.array_equal(photo.srgb, PICTURE) and "can't be read" in photo.notes[0]


def png_header(width, height):
    def chunk(name, data):
        return struct.pack(">I", len(data)) + name + data + struct.pack(">I", zlib.crc32(name + data))

    shape = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", shape) + chunk(b"IDAT", zlib.compress(bytes(1000))) + chunk(b"IEND", b"")


@pytest.mark.parametrize("width, height", [(10000, 10000), (20000, 15000), (100000, 100000), (8000, 8000)])
def test_a_hundred_megapixel_bomb_is_refused_by_its_header(width, height):
    import time

    started = time.perf_counter()
    with pytest.raises(ColourError, match="megapixels"):
        decode(png_header(width, height))
    assert time.perf_counter() - started < 1


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "HEIF"])
@pytest.mark.parametrize("keep", [0, 10, 0.3, 0.9])
def test_a_truncated_file_is_refused_in_one_sentence(kind, keep):
    noisy = rng.integers(0, 255, (200, 300, 3)).astype(np.uint8)
    whole = saved(noisy, kind)
    with pytest.raises(ColourError) as caught:
        decode(whole[: keep if isinstance(keep, int) else int(keep * len(whole))])
    assert str(caught.value).endswith(".") and "\n" not in str(caught.value)


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "HEIF"])
def test_damaged_bytes_never_end_in_a_traceback(kind):
    whole = saved(PICTURE, kind)
    for seed in range(25):
        hurt = bytearray(whole)
        dice = np.random.default_rng(seed)
        for at in dice.integers(0, len(hurt), 12):
            hurt[at] = int(dice.integers(256))
        try:
            assert decode(bytes(hurt)).srgb.dtype == np.uint8
        except ColourError as error:
            assert len(str(error)) < 200


@pytest.mark.parametrize("data", [b"", b"not a picture", b"GIF89a" + bytes(50), b"%!PS-Adobe-3.0 EPSF-3.0\n", b"\xff\xd8\xff"])
def test_what_is_no_photograph_is_refused(data):
    with pytest.raises(ColourError):
        decode(data)


def test_transparency_is_laid_on_white():
    layer = np.zeros((10, 10, 4), np.uint8)
    assert (decode(saved(layer, "PNG")).srgb == 255).all()
