"""Photographs → CIELAB, browning, evenness, cell structure; D65 and the 2° observer throughout."""

from .balance import Balance, grey_card, no_balance, patch_chart, white_plate
from .chart import chart_linear, chart_patch_lab, patch_names
from .contact_sheet import ContactSheet, Shot, contact_sheet
from .cut_face import CutFace, Scale, cut_face, scale_from_marker, scale_from_plate
from .difference import ciede2000, ciede2000_terms, delta_e_76
from .errors import ColourError
from .indices import BROWNING_VARIANT, browning_index, whiteness_index
from .measure import (
    ACRYLAMIDE_CAUTION,
    ColourReading,
    Piece,
    difference,
    find_balance,
    join,
    measure,
    swatch_strip,
)
from .oven_map import OvenMap, PlaceBrowning, map_oven
from .photograph import Photograph, Scene, scene, shown
from .segment import segment
from .spaces import adapt_d50_to_d65_xyz, chroma_hue, lab_from_linear, lab_to_srgb, lab_to_srgb_8bit, srgb_to_lab

__all__ = [
    "Balance",
    "patch_chart",
    "grey_card",
    "no_balance",
    "white_plate",
    "ContactSheet",
    "Shot",
    "contact_sheet",
    "CutFace",
    "Scale",
    "cut_face",
    "scale_from_marker",
    "scale_from_plate",
    "ACRYLAMIDE_CAUTION",
    "ColourReading",
    "Piece",
    "OvenMap",
    "PlaceBrowning",
    "map_oven",
    "difference",
    "find_balance",
    "join",
    "measure",
    "swatch_strip",
    "Photograph",
    "Scene",
    "scene",
    "shown",
    "segment",
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
