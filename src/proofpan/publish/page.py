"""A page that stands alone: our styles and fonts inside it, nothing to load."""

from __future__ import annotations

import base64
from functools import cache
from html import escape
from importlib.resources import files

from proofpan.study.wording import spoken

FONTS = (("Vollkorn", "vollkorn-latin-wght-normal", "normal", "400 900"), ("Vollkorn", "vollkorn-latin-wght-italic", "italic", "400 900"),
         ("Atkinson Hyperlegible Next", "atkinson-hyperlegible-next-latin-wght-normal", "normal", "200 800"))


def whole_page(title: str, mast: str, body: str, *, style: str = "", script: str = "") -> str:
    """One HTML file, in the language that is spoken.

    Parameters: mast, the kitchen's name above; body, markup for inside the main part; style and script, of this kind of page alone.
    """
    return (f'<!doctype html><html lang="{escape(spoken().locale)}"><head><meta charset="utf-8">'
            f'<meta name="viewport" content="width=device-width, initial-scale=1">'
            f'<title>{escape(title)}</title><style>{_styles()}{style}</style></head><body><header class="mast"><b>{escape(mast)}</b></header>'
            f'<main id="page">{body}</main>{f"<script>{script}</script>" if script else ""}</body></html>')


@cache
def _styles() -> str:
    faces = []
    for family, name, style, weights in FONTS:
        data = base64.b64encode((files("proofpan.web") / "static/fonts" / f"{name}.woff2").read_bytes()).decode()
        faces.append(f'@font-face{{font-family:"{family}";src:url(data:font/woff2;base64,{data}) format("woff2");font-weight:{weights};'
                     f"font-style:{style};font-display:swap}}")
    return "".join(faces) + (files("proofpan.publish") / "templates/report.css").read_text(encoding="utf-8")
