"""Numbers as recipes write them: 1½, 1 1/2, 1-1/2, 1,5, 1,000, three quarters, 3–4, between 4 and 6."""

import re
import unicodedata

from proofpan.science.measures.errors import QuantityError

SLASH = "[/⁄∕]"
VULGAR = "[¼½¾⅐-⅞]"
_JOIN = r"(?:\s*-\s*|\s+and\s+|\s*&\s*|\s+)"
_THOUSANDS = r"[1-9]\d{0,2}(?:,\d{3})+(?![\d,.]?\d)|[1-9]\d{0,2} 000(?:\.\d+)?(?!\d)"
DIGITS = (
    rf"\d+{_JOIN}\d+\s?{SLASH}\s?\d+(?!\d)"  # 1 1/2, 1-1/2, 1 and 1/2
    rf"|\d+(?:{_JOIN})?{VULGAR}"  # 1½, 1 ½, 1-½
    rf"|\d+\s?{SLASH}\s?\d+(?!\d)"
    rf"|{VULGAR}"
    rf"|{_THOUSANDS}"
    r"|\d+\.\d+|\.\d+|\d+,\d{1,2}(?!\d)|0,\d+|\d+"
)
WORDS = {
    "one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "seven": 7, "eight": 8, "nine": 9, "ten": 10,
    "eleven": 11, "twelve": 12, "fifteen": 15, "twenty": 20, "thirty": 30,
}  # fmt: skip
PARTS = {"half": 1 / 2, "third": 1 / 3, "thirds": 1 / 3, "quarter": 1 / 4, "quarters": 1 / 4, "eighth": 1 / 8}
_WORD = "|".join(WORDS)
_PART = "|".join(sorted(PARTS, key=len, reverse=True))
_COUNTED = rf"(?:(?:{_WORD}|an?)[\s-]+)?(?:{_PART})"
SPELT = rf"(?:(?:{_WORD}|\d+|an?)\s+and\s+)?{_COUNTED}|(?:{_WORD})"
NUMBER = re.compile(rf"(?P<digits>{DIGITS})|(?P<spelt>(?:{SPELT})(?![\w-]))", re.IGNORECASE)
_SPELT_FORM = re.compile(rf"(?:(?P<whole>{_WORD}|\d+|an?)\s+and\s+)?(?:(?P<count>{_WORD}|an?)[\s-]+)?(?P<part>{_PART})$")
_RANGE = re.compile(r"\s*(?:[-–]|\bto\b|\bor\b)\s*", re.IGNORECASE)
_IN_THOUSANDS = re.compile(rf"(?:{_THOUSANDS})$")
_POINT_OR_THOUSANDS = re.compile(r"[1-9]\d{0,2}\.\d{3}$")
_DECIMAL_COMMA = re.compile(r"\d+,\d+$")
_VULGAR = re.compile(VULGAR)
_FRACTION = re.compile(rf"(?:(\d+){_JOIN})?(\d+)\s?{SLASH}\s?(\d+)$")


class NotANumber(QuantityError):
    """Looks like a number, but can't be one (1/0) or can't be trusted (11/2)."""


def _spelt(text: str) -> float:
    text = " ".join(text.lower().split())
    if text in WORDS:
        return float(WORDS[text])
    form = _SPELT_FORM.match(text)
    if form is None:
        raise NotANumber(f'"{text}" is not a number: it would be digits.')

    def units(word: str | None, missing: float) -> float:
        return missing if word is None else float(word) if word.isdigit() else float(WORDS.get(word, 1))

    return units(form["whole"], 0) + units(form["count"], 1) * PARTS[form["part"]]


def value_of(text: str) -> float:
    """The number that one match of `NUMBER` stands for.

    Raises:
        NotANumber: for a division by zero, or a fraction that is probably two numbers run together ("11/2").
    """
    text = text.strip()
    if text[0].isalpha():
        return _spelt(text)
    if vulgar := _VULGAR.search(text):
        if " and " in text.lower() and text[0].isalpha():
            return _spelt(text)
        whole = re.match(r"\d+", text)
        return (float(whole[0]) if whole else 0.0) + unicodedata.numeric(vulgar[0])
    if fraction := _FRACTION.match(text):
        units, top, bottom = (float(part) if part else 0.0 for part in fraction.groups())
        if bottom == 0:
            raise NotANumber(f'"{text}" divides by zero: it would be a number such as 1/2.')
        if not fraction[1] and top >= 11 and bottom in (2, 3, 4, 8) and top > bottom and (top % 10) < bottom:
            raise NotANumber(f'"{text}" may be {text[0]} {text[1:]} run together: write the space.')
        return units + top / bottom
    if _IN_THOUSANDS.match(text):
        return float(re.sub(r"[, ]", "", text))
    return float(text.replace(",", "."))


def doubt_of(text: str) -> str | None:
    """What a reader should look at in a number that could be read two ways, or None."""
    if _IN_THOUSANDS.match(text.strip()):
        return f'"{text.strip()}" read as thousands'
    if _DECIMAL_COMMA.match(text.strip()):
        return f'"{text.strip()}" read with a decimal comma'
    if _POINT_OR_THOUSANDS.match(text.strip()):
        return f'"{text.strip()}" read with a decimal point; in much of Europe it is thousands'
    return None


def parse_amount(text: str) -> tuple[float, float]:
    """An amount alone, single or a range.

    Args:
        text: such as "1½", "3–4", "½ to ¾", "1,5" (one and a half), "between 4 and 6".

    Returns:
        low, high; equal when it is a single amount.

    Raises:
        QuantityError: when the whole text isn't an amount, or a range runs downwards.
    """
    body = text.strip().replace("—", "–").replace("−", "–")
    if between := re.match(r"(?:between|from)\s+(.+?)\s+(?:and|to)\s+(.+)$", body, re.IGNORECASE):
        parts = [between[1], between[2]]
    else:
        first = NUMBER.match(body)
        if first is None:
            raise QuantityError(f'"{text[:40]}" is not an amount: it would be a number such as 250, 1½ or 3–4.')
        rest = body[first.end() :]
        gap = _RANGE.match(rest) if rest else None
        parts = [first[0], rest[gap.end() :]] if gap else [first[0]] if not rest.strip() else ["", ""]
    numbers = []
    for part in parts:
        match = NUMBER.fullmatch(part.strip())
        if match is None:
            raise QuantityError(f'"{text[:40]}" is not an amount: it would be a number such as 250, 1½ or 3–4.')
        numbers.append(value_of(match[0]))
    if numbers[0] > numbers[-1]:
        raise QuantityError(f'"{text[:40]}" runs downwards: the smaller number comes first.')
    return numbers[0], numbers[-1]
