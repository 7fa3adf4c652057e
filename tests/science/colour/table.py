"""Invented photographs whose colours are known: pieces on a tray with a card, a plate or a chart, under a lamp."""

import io

import numpy as np
from PIL import Image

from proofpan.science.colour.chart import chart_linear
from proofpan.science.colour.spaces import lab_to_srgb, linear_from_srgb, srgb_from_linear

GOLDEN = (66.0, 11.0, 36.0)
BROWN = (48.0, 16.0, 32.0)
DARK = (30.0, 12.0, 16.0)

LAMPS = {
    "daylight": (1.0, 1.0, 1.0),
    "warm": (1.3, 1.0, 0.62),
    "cool": (0.85, 1.0, 1.2),
    "greenish": (0.92, 1.08, 0.9),
}


def linear_of(lab):
    return linear_from_srgb(np.clip(lab_to_srgb(lab), 0, 255) / 255)


class Table:
    """A scene in linear reflectance, painted piece by piece; `shot` puts it under a lamp and through a phone's 8 bits."""

    def __init__(self, rows=600, columns=800, lab=(35.0, 0.5, -1.0)):
        self.linear = np.broadcast_to(linear_of(lab), (rows, columns, 3)).copy()
        self.y, self.x = np.mgrid[:rows, :columns]

    def disc(self, x, y, radius, linear):
        self.linear[np.hypot(self.x - x, self.y - y) < radius] = linear
        return self

    def piece(self, x, y, radius, lab, spread=2.0, seed=0):
        """A round piece whose colour varies a little from place to place."""
        rng = np.random.default_rng(seed)
        here = np.hypot(self.x - x, self.y - y) < radius
        wander = np.kron(rng.normal(0, spread, (-(-self.linear.shape[0] // 8), -(-self.linear.shape[1] // 8))), np.ones((8, 8)))
        lightness = wander[: self.linear.shape[0], : self.linear.shape[1]][here]
        self.linear[here] = linear_of(
            np.stack([lab[0] + lightness, np.full_like(lightness, lab[1]), np.full_like(lightness, lab[2])], axis=1)
        )
        return self

    def card(self, x, y, width, height, reflectance=0.18):
        self.linear[y : y + height, x : x + width] = reflectance
        return self

    def chart(self, x, y, patch=30, gap=5, turns=0):
        block = np.full((4 * (patch + gap) + gap, 6 * (patch + gap) + gap, 3), 0.02)
        for i, colour in enumerate(np.clip(chart_linear(), 0, 1)):
            r, c = divmod(i, 6)
            block[gap + r * (patch + gap) :, gap + c * (patch + gap) :][:patch, :patch] = colour
        block = np.rot90(block, turns)
        self.linear[y : y + block.shape[0], x : x + block.shape[1]] = block
        return self

    def shot(self, lamp="daylight", exposure=1.0, gradient=0.0, noise=0.003, seed=1):
        light = self.linear * np.array(LAMPS[lamp]) * exposure
        if gradient:
            light = light * (1 + gradient * (self.x / self.x.max() - 0.5))[..., None]
        light = light + np.random.default_rng(seed).normal(0, noise, light.shape)
        return np.rint(np.clip(srgb_from_linear(np.clip(light, 0, 1)), 0, 1) * 255).astype(np.uint8)


def saved(srgb, kind="JPEG", **options):
    file = io.BytesIO()
    Image.fromarray(srgb).save(file, kind, **options)
    return file.getvalue()


def crackers(lab=GOLDEN, **options):
    table = Table(**options)
    for k, (x, y) in enumerate([(200, 180), (420, 170), (210, 420), (430, 430)]):
        table.piece(x, y, 80, lab, seed=k)
    return table
