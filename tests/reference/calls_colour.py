"""Colour calls of the reference cases, each to one public function of the colour room."""

from proofpan.science import colour


def _hue(inputs):
    chroma, hue = colour.chroma_hue(inputs["a"], inputs["b"])
    return {"chroma": float(chroma), "hue_degrees": float(hue)}


ADAPTERS = {
    "colour.ciede2000": lambda i: {"delta_e_00": float(colour.ciede2000(i["lab_1"], i["lab_2"]))},
    "colour.delta_e_76": lambda i: {"delta_e_ab": float(colour.delta_e_76(i["lab_1"], i["lab_2"]))},
    "colour.srgb_to_lab": lambda i: {"lab": colour.srgb_to_lab(i["srgb_8bit"]).tolist()},
    "colour.lab_to_srgb": lambda i: {"srgb_8bit": colour.lab_to_srgb(i["lab"]).tolist()},
    "colour.chroma_hue": _hue,
    "colour.browning_index": lambda i: {"browning_index": float(colour.browning_index(i["lab"]))},
    "colour.whiteness_index": lambda i: {"whiteness": float(colour.whiteness_index(i["lab"]))},
    "colour.chart_patch_lab": lambda i: {"lab": colour.chart_patch_lab(i["patch"], i["chart"]).tolist()},
    "colour.adapt_d50_to_d65_xyz": lambda i: {"xyz_d65": colour.adapt_d50_to_d65_xyz(i["xyz_d50"]).tolist()},
}
