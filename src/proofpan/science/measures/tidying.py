"""A line's letters made plain: odd spaces, full-width letters, dashes, HTML entities, marks of bold type."""

import html
import re
import unicodedata

_PLAIN = str.maketrans(
    {
        **{chr(c): chr(c - 0xFEE0) for c in range(0xFF01, 0xFF5F)},
        **dict.fromkeys("\u00a0\u1680\u2000\u2001\u2002\u2003\u2004\u2005\u2006\u2007\u2008\u2009\u200a\u202f\u205f\u3000\t", " "),
        **dict.fromkeys("\u00ad\u200b\u200c\u200d\u2060\ufeff\u200e\u200f", ""),
        **dict.fromkeys("—―−‒‐‑", "–"),
        "\ufb01": "fi", "\ufb02": "fl", "㎖": "ml", "㎏": "kg", "ℓ": "l", "㎝": "cm", "’": "'", "✕": "×", "⨯": "×",
    }
)  # fmt: skip
_RAISED = re.compile(r"([\u2070\u00b9\u00b2\u00b3\u2074-\u2079]+|\d+)([/\u2044])([\u2080-\u2089]+)")     # ¹⁄₂, 1⁄₂
_TILDE = re.compile(r"(?<=[\d¼½¾⅐-⅞])\s?~\s?(?=[\d¼½¾⅐-⅞])")
_BOLD = re.compile(r"(?<!\w)(\*\*|__)(\S[^*_]*?)\1(?!\w)")


def tidy(text: str) -> str:
    """The line with odd spaces, full-width letters, dashes and HTML entities made plain; fractions stay as they are."""
    if "&" in text:
        text = html.unescape(text)
    text = unicodedata.normalize("NFC", text.translate(_PLAIN))
    if max(text, default="") >= "\u2080" and _RAISED.search(text):
        text = _RAISED.sub(lambda m: unicodedata.normalize("NFKC", m[0]), text)
    if "~" in text:
        text = _TILDE.sub("–", text)
    if "**" in text or "__" in text:
        text = _BOLD.sub(r"\2", text)
    return " ".join(text.split())
