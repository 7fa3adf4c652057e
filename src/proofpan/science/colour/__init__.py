"""Photographs → CIELAB, browning, evenness, cell structure; D65 and the 2° observer throughout."""

from .chart import chart_linear, chart_patch_lab, patch_names
from .difference import ciede2000, ciede2000_terms, delta_e_76
from .errors import ColourError
from .indices import BROWNING_VARIANT, browning_index, whiteness_index
from .spaces import adapt_d50_to_d65_xyz, chroma_hue, lab_from_linear, lab_to_srgb, lab_to_srgb_8bit, srgb_to_lab

__all__ = [
    "BROWNING_VARIANT",
    "ColourError",
    "adapt_d50_to_d65_xyz",
    "browning_index",
    "chart_linear",
    "chart_patch_lab",
    "chroma_hue",
    "ciede2000",
    "ciede2000_terms",
    "delta_e_76",
    "lab_from_linear",
    "lab_to_srgb",
    "lab_to_srgb_8bit",
    "patch_names",
    "srgb_to_lab",
    "whiteness_index",
]
