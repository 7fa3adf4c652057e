"""Photographs with known truth from spectra, made without anything of the colour room.

Food, card and tray are reflectance spectra of the 24 patches (BabelColor's averages), lit by CIE illuminants and seen by a real camera's
sensitivities (Nikon D5100, measured by NPL), all as shipped by colour-science. The camera's own matrix is set for daylight, and its white
balance goes only part of the way, as a phone's does. Truth is CIELAB under D65 for the 2° observer from the spectra themselves.
"""

import io
from functools import cache

import numpy as np
from PIL import Image

FOODS = ("dark skin", "light skin", "orange", "orange yellow", "moderate red")
LAMPS = ("D65", "D50", "A", "FL2", "LED-B3")


@cache
def _tables():
    import colour

    shape = colour.SpectralShape(400, 700, 10)
    patches = {
        name.lower(): sd.copy().align(shape).values for name, sd in colour.SDS_COLOURCHECKERS["BabelColor Average"].items()
    }
    lamps = {name: colour.SDS_ILLUMINANTS[name].copy().align(shape).values for name in LAMPS}
    eye = colour.MSDS_CMFS["CIE 1931 2 Degree Standard Observer"].copy().align(shape).values
    camera = colour.MSDS_CAMERA_SENSITIVITIES["Nikon 5100 (NPL)"].copy().align(shape).values
    return patches, lamps, eye, camera


def truth_lab(name):
    """CIELAB under D65, 2° observer, from the spectrum."""
    import colour

    patches, lamps, eye, _ = _tables()
    white = lamps["D65"] @ eye
    xyz = (patches[name] * lamps["D65"]) @ eye / white[1]
    return np.asarray(colour.XYZ_to_Lab(xyz, colour.XYZ_to_xy(white / white[1])))


@cache
def _matrix():
    """The maker's matrix from camera to linear sRGB: least squares over the patches in daylight."""
    import colour

    patches, lamps, eye, camera = _tables()
    seen = np.array([(p * lamps["D65"]) @ camera for p in patches.values()]) / (lamps["D65"] @ camera)
    white = lamps["D65"] @ eye
    xyz = np.array([(p * lamps["D65"]) @ eye for p in patches.values()]) / white[1]
    linear = xyz @ np.asarray(colour.models.RGB_COLOURSPACE_sRGB.matrix_XYZ_to_RGB).T
    return np.linalg.lstsq(seen, linear, rcond=None)[0]


def linear_rgb(name, lamp, balanced=0.7):
    """What the camera writes of a patch, linear, before exposure; `balanced`, how far its own white balance goes (0 to 1)."""
    patches, lamps, _, camera = _tables()
    seen = (patches[name] * lamps[lamp]) @ camera
    full = 1 / (lamps[lamp] @ camera)
    day = 1 / (lamps["D65"] @ camera)
    gains = full**balanced * day ** (1 - balanced)
    gains *= full[1] / gains[1]
    return (seen * gains) @ _matrix()


def scene(lamp, food, *, reference="card", pieces=4, exposure=0.8, fall_off=0.0, noise=2.0, seed=0, size=(900, 1200), spread=3.0):
    """An 8-bit photograph: pieces of one food on a dark tray with a grey card, chart or white plate; `fall_off`, of the light across it."""
    rng = np.random.default_rng(seed)
    rows, columns = size
    y, x = np.mgrid[:rows, :columns]
    light = np.empty((rows, columns, 3))
    light[:] = linear_rgb("neutral 3.5 (1.05 d)", lamp)

    def lay(mask, name, grain=0.0):
        light[mask] = linear_rgb(name, lamp) * (1 + grain * rng.standard_normal((int(mask.sum()), 1)))

    if reference == "plate":
        lay((x - columns * 0.5) ** 2 + (y - rows * 0.5) ** 2 < (0.44 * rows) ** 2, "white 9.5 (.05 d)")
        light[(x - columns * 0.5) ** 2 + (y - rows * 0.5) ** 2 < (0.44 * rows) ** 2] *= 0.80 / 0.90
    elif reference == "card":
        lay((x > 0.78 * columns) & (x < 0.93 * columns) & (y > 0.1 * rows) & (y < 0.34 * rows), "neutral 5 (.70 d)")
    elif reference == "chart":
        names = [n for n in _tables()[0]]
        for k, name in enumerate(names[:24]):
            r, c = divmod(k, 6)
            top, left = 0.06 * rows + r * 62, 0.66 * columns + c * 62
            lay((x >= left) & (x < left + 50) & (y >= top) & (y < top + 50), name)
    where = [(0.40, 0.36), (0.58, 0.40), (0.38, 0.62), (0.58, 0.66)] if reference == "plate" else [(0.2, 0.3), (0.45, 0.3), (0.2, 0.7), (0.45, 0.7)]
    for cx, cy in where[:pieces]:
        radius = (0.07 if reference == "plate" else 0.13) * rows * (1 + 0.05 * rng.standard_normal())
        coarse = rng.standard_normal((rows // 12 + 1, columns // 12 + 1))
        crumb = np.asarray(Image.fromarray(coarse.astype(np.float32)).resize((columns, rows), Image.Resampling.BICUBIC))
        inside = (x - cx * columns) ** 2 + (y - cy * rows) ** 2 < radius**2
        light[inside] = linear_rgb(food, lamp) * (1 + spread / 100 * crumb[inside][:, None])
    light *= exposure * (1 - fall_off * x / columns)[..., None]
    light = np.clip(light, 0, 1)
    encoded = np.where(light <= 0.0031308, 12.92 * light, 1.055 * light ** (1 / 2.4) - 0.055) * 255
    return np.clip(np.rint(encoded + rng.normal(0, noise, light.shape)), 0, 255).astype(np.uint8)


def jpeg(srgb, quality=92, **more):
    """As a JPEG."""
    out = io.BytesIO()
    Image.fromarray(srgb).save(out, "JPEG", quality=quality, **more)
    return out.getvalue()
