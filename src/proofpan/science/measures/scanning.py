"""Cuts the head of an ingredient line into the tokens that lines.lark is written in, and stops where the words begin."""

import re
from typing import NamedTuple

from proofpan.science.measures.amounts import NUMBER, doubt_of, value_of
from proofpan.science.measures.words import (
    FLUID_OUNCE,
    LENGTHS,
    LOOSE,
    SIZEABLE,
    SPLIT_SPOON,
    SPOONS,
    VOLUMES,
    WEIGHTS,
    misspelt_unit,
    unit_of,
)

MODIFIERS = frozenset(
    [
        "level",
        "heaped",
        "heaping",
        "rounded",
        "scant",
        "generous",
        "good",
        "big",
        "small",
        "large",
        "medium",
        "fat",
        "thick",
        "thin",
        "short",
        "long",
    ]
)
ABOUTS = frozenset(["about", "approx", "approximately", "roughly", "around", "circa", "ca", "nearly", "almost"])
_WORD = re.compile(r"[^\W\d_]+")
_SMALL_UNIT = re.compile(r"\s*(?:g|gr|grams?|ml|mL)\b")      # of these nobody writes thousandths
_SIZE = re.compile(
    rf"(?P<size>(?:{NUMBER.pattern.replace('?P<digits>', '?:').replace('?P<spelt>', '?:')})"
    r"(?:\s*(?:[-–]|to)\s*\d+(?:[.,/]\d+)?[¼½¾]?)?[\s-]*"
    r"(?:(?:" + "|".join(sorted((w for w in LENGTHS if w != "in"), key=len, reverse=True)) + r"|in)\b\.?|[\"″”]))",
    re.IGNORECASE,
)
_SIZE_ALSO = re.compile(r"\s*/\s*\d+(?:[.,]\d+)?[¼½¾]?[\s-]*(?:cm|mm|inch(?:es)?|in\b|[\"″”])", re.IGNORECASE)     # "9in/23cm"
_SPACE_OR_HYPHEN = re.compile(r"[\s-]*")
_BEFORE_NUMBER = re.compile(r"\s*(?:about\s+|an?\s+)?")
_OF_A = re.compile(r"\s+(?:of\s+)?an?\b|\s+of\b", re.IGNORECASE)
_VAGUE = re.compile(r"an?\s+(?:little|few|bit|lot)\b", re.IGNORECASE)
_COUPLE = re.compile(r"a\s+couple(?:\s+of)?\b", re.IGNORECASE)
_WORD_AHEAD = re.compile(r"\.?\s+(?:of\s+)?[^\W\d_]")
_SMALLER = re.compile(r"\s*(?:[1-9]|1[0-5])?\s*[¼½¾⅓⅔]?\s*(?:tsp|tbsp|teaspoons?|tablespoons?|oz|ounces?)\b\.?\s+[^\W\d_]")


class Scanned(NamedTuple):
    """One token: its kind in the grammar, its value, and where it stands in the line."""

    kind: str
    value: object
    start: int
    end: int


class Scan:
    """The tokens of a head, what was doubtful in them, and the words that weren't."""

    def __init__(self, text: str, start: int = 0, bracket: bool = False) -> None:
        self.text, self.at, self.bracket = text, start, bracket
        self.tokens: list[Scanned] = []
        self.flags: list[str] = []
        self.stopped = False
        while not self.stopped and self.at < len(text):
            self._step()

    def _put(self, kind: str, value: object, end: int) -> None:
        self.tokens.append(Scanned(kind, value, self.at, end))
        self.at = end

    def _last(self) -> str:
        return self.tokens[-1].kind if self.tokens else ""

    def _step(self) -> None:
        text = self.text
        while self.at < len(text) and text[self.at].isspace():
            self.at += 1
        if self.at >= len(text):
            return
        letter = text[self.at]
        if letter.isdigit() or letter in "¼½¾.⅐⅑⅒⅓⅔⅕⅖⅗⅘⅙⅚⅛⅜⅝⅞":
            self._number()
        elif letter == "(":
            self._open()
        elif letter.isalpha():
            self._word()
        else:
            self._sign(letter)

    def _wants_number(self) -> bool:
        """Whether a number may start an amount here."""
        return self._last() in ("", "ABOUT", "DASH", "X", "SLASH", "PLUS", "LESS", "SEP", "MOD", "EACH")

    def _number(self) -> None:
        text, last = self.text, self._last()
        if last in ("", "NUM", "X", "ABOUT") and (size := _SIZE.match(text, self.at)):
            also = _SIZE_ALSO.match(text, size.end())
            self._put("SIZE", " ".join(size["size"].split()), also.end() if also else size.end())
            return
        match = NUMBER.match(text, self.at)
        if match is None:
            self.stopped = True
            return
        end = match.end()
        follows = text[end : end + 1]
        word = _WORD.match(text, end)
        if follows in "%°" and follows:
            self.stopped = True
            return
        if follows == "-" and (hyphened := _WORD.match(text, end + 1)):
            # "14-ounce can" is a unit; "2-minute noodles" is a name
            if unit_of(hyphened[0]) is None:
                self.stopped = True
                return
            end += 1
        elif word and unit_of(word[0]) is None and word[0] not in ("x", "X") and not self._glued(word[0]):
            self.stopped = True
            return
        if not self._wants_number() and not self._unit_ahead(end):
            self.stopped = True
            return
        if last == "LOOSE" or (last == "COUNT"):
            self.stopped = True
            return
        if (doubt := doubt_of(match[0])) and ("point" not in doubt or _SMALL_UNIT.match(text, end)):
            self.flags.append(doubt)
        value = value_of(match[0])
        self._put("NUM", value, end)
        if 0 < value < 1:
            self._skip(_OF_A)

    def _glued(self, word: str) -> bool:
        """Whether a word stuck to a number is a unit with more stuck to it ("10fl oz")."""
        return word.lower() == "fl"

    def _unit_ahead(self, at: int) -> bool:
        """Whether a unit of volume or weight comes next (after a space or hyphen)."""
        match = _SPACE_OR_HYPHEN.match(self.text, at)
        at = match.end() if match else at
        if FLUID_OUNCE.match(self.text, at):
            return True
        word = _WORD.match(self.text, at)
        return word is not None and (unit_of(word[0]) or "") in VOLUMES | WEIGHTS

    def _skip(self, pattern: re.Pattern[str]) -> None:
        if match := pattern.match(self.text, self.at):
            self.at = match.end()

    def _number_ahead(self, at: int) -> bool:
        match = _BEFORE_NUMBER.match(self.text, at)
        at = match.end() if match else at
        found = NUMBER.match(self.text, at)
        return found is not None or self._loose_ahead(at)

    def _loose_ahead(self, at: int) -> bool:
        word = _WORD.match(self.text, at)
        return word is not None and (unit_of(word[0]) or "") in LOOSE

    def _open(self) -> None:
        close = self.text.find(")", self.at)
        if close < 0 or self.bracket:
            self.stopped = True
            return
        inside = Scan(self.text[:close], self.at + 1, bracket=True)
        measures = [t for t in inside.tokens if t.kind == "NUM"]
        if inside.stopped or not measures:
            self.stopped = True
            return
        self._put("LPAR", "(", self.at + 1)
        self.tokens += inside.tokens
        self.flags += inside.flags
        self.at = close
        self._put("RPAR", ")", close + 1)

    def _sign(self, letter: str) -> None:
        last, ahead = self._last(), self._number_ahead(self.at + 1)
        if letter in "-–" and last in ("NUM", "UNIT") and ahead:
            self._put("DASH", letter, self.at + 1)
        elif letter in "×*" and last == "NUM":
            self._times()
        elif letter in "/⁄∕" and last in ("UNIT", "COUNT") and ahead:
            self._put("SLASH", letter, self.at + 1)
        elif letter in "+&" and last == "UNIT" and ahead:
            self._put("PLUS", letter, self.at + 1)
        elif letter == "~" and ahead:
            self._put("ABOUT", letter, self.at + 1)
        elif not self.bracket and letter == "," and last == "UNIT" and self._smaller_measure(self.at + 1):
            self._put("PLUS", letter, self.at + 1)
        elif self.bracket and letter in ",;=" and ahead:
            self._put("SEP", letter, self.at + 1)
        else:
            self.stopped = True

    def _smaller_measure(self, at: int) -> bool:
        """Such as "1 cup, 2 tbsp milk": a number and a unit after the comma, and words after them."""
        return _SMALLER.match(self.text, at) is not None

    def _times(self) -> None:
        if self._number_ahead(self.at + 1):
            self._put("X", "×", self.at + 1)
        else:
            self.at += 1

    def _word(self) -> None:
        text, last = self.text, self._last()
        if fluid := FLUID_OUNCE.match(text, self.at):
            self._unit("fl_oz", fluid.end())
            return
        if (split := SPLIT_SPOON.match(text, self.at)) and last in ("NUM", "MOD"):
            self._unit({"tea": "tsp", "table": "tbsp", "dessert": "dessertspoon"}[split[1].lower()], split.end())
            return
        match = _WORD.match(text, self.at)
        assert match is not None
        word, end = match[0], match.end()
        low = word.lower()
        if low == "x" and last == "NUM":
            self._times()
        elif low == "of" and last in ("UNIT", "COUNT", "LOOSE"):
            self.at = end
        elif low == "no" and last == "NUM" and text[end : end + 1] == ".":
            self.at = end + 1
        elif low in ("dozen", "doz") and last == "NUM" and isinstance(self.tokens[-1].value, float):
            token = self.tokens.pop()
            self.tokens.append(Scanned("NUM", float(str(token.value)) * 12, token.start, end))
            self.at = end
            self._skip(_OF_A)
        elif self._connector(low, end) or self._spelt_number(low):
            return
        elif low in ABOUTS and last in ("", "SEP", "SLASH", "EACH"):
            self._put("ABOUT", low, end + 1 if text[end : end + 1] == "." else end)
        elif low == "each" and self.bracket:
            self._put("EACH", low, end)
        elif low in MODIFIERS and self._modifies(end):
            self._one_meant()
            self._put("MOD", low, end)
        else:
            self._unit(unit_of(word), end, word)

    def _connector(self, low: str, end: int) -> bool:
        """to, or, and, plus, less: only where an amount stands on both sides."""
        last, ahead = self._last(), self._number_ahead(end)
        kind = None
        if low in ("to", "or") and last == "NUM" or low == "to" and last == "UNIT":
            kind = "DASH"
        elif low == "or" and self.bracket:
            kind = "SEP"
        elif low in ("plus", "and") and last == "UNIT":
            kind = "PLUS"
        elif low in ("less", "minus") and last == "UNIT":
            kind = "LESS"
        if kind is None or not ahead:
            return False
        self._put(kind, low, end)
        return True

    def _spelt_number(self, low: str) -> bool:
        if not self._wants_number():
            return False
        match = NUMBER.match(self.text, self.at)
        if match is not None:
            value = value_of(match[0])
            self._put("NUM", value, match.end())
            if value < 1:
                self._skip(_OF_A)
            return True
        if low in ("a", "an"):
            if _VAGUE.match(self.text, self.at):
                return False
            if couple := _COUPLE.match(self.text, self.at):
                self.flags.append('"a couple" read as two')
                self._put("NUM", 2.0, couple.end())
                return True
            self._put("NUM", 1.0, self.at + len(low))
            return True
        if low in ("dozen",):
            self._put("NUM", 12.0, self.at + len(low))
            return True
        return False

    def _modifies(self, at: int) -> bool:
        """Whether a unit follows this adjective, perhaps after more adjectives ("2 large cloves")."""
        for match in _WORD.finditer(self.text, at):
            between = self.text[at : match.start()]
            if between.count("(") > between.count(")"):
                continue  # a measure in brackets: "1 large (800 g) tin"
            if match[0].lower() in MODIFIERS:
                continue
            return (
                (unit := unit_of(match[0])) is not None
                and re.sub(r"\([^)]*\)", "", between).strip(" -") in ("",) + tuple(MODIFIERS)
                and unit != "fillet"
            )
        return False

    def _unit(self, unit: str | None, end: int, word: str = "") -> None:
        last = self._last()
        if unit is None and last == "NUM" and word and self._another_word(end) and (fixed := misspelt_unit(word)):
            self.flags.append(f'"{word}" read as {fixed}')
            unit = fixed
        joined = _WORD.match(self.text, end + 1) if self.text[end : end + 1] == "-" else None
        if unit is None or last in ("COUNT", "LOOSE") or (joined and unit_of(joined[0]) is None):
            self.stopped = True  # "thumb-sized" is a describing word, not a thumb
            return
        if self.text[end : end + 1] == ".":
            end += 1
        if word in ("t", "T", "c", "C") and last != "NUM":
            self.stopped = True
            return
        if word in ("t", "T"):
            self.flags.append(f'"{word}" read as {unit}')
        elif word.lower() in ("gr", "gm") and unit == "g":
            self.flags.append(f'"{word}" read as grams, not grains')
        if unit in LOOSE:
            kind = "LOOSE"
        elif unit in VOLUMES | WEIGHTS:
            kind = "UNIT"
        else:
            kind = "COUNT"
        allowed = {
            "UNIT": ("NUM", "MOD"),
            "LOOSE": ("", "NUM", "MOD", "ABOUT", "PLUS", "SEP"),
            "COUNT": ("NUM", "MOD", "RPAR", "UNIT", "SIZE"),
        }[kind]
        if kind == "LOOSE" and last in ("UNIT", "SIZE") and unit == "knob":
            kind = "COUNT"
        elif last not in allowed:
            self.stopped = True
            return
        if kind == "COUNT" and last == "UNIT" and (unit not in SIZEABLE or self.tokens[-1].value in SPOONS):
            self.stopped = True
            return
        if kind == "LOOSE":
            self._one_meant()
        self._put(kind, unit, end)

    def _one_meant(self) -> None:
        """A pinch, or a good handful, is one of them."""
        if self._last() not in ("NUM", "MOD"):
            self._put("NUM", 1.0, self.at)

    def _another_word(self, at: int) -> bool:
        return _WORD_AHEAD.match(self.text, at) is not None
