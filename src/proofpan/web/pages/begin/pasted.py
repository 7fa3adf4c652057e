"""A pasted recipe as the keys of a base recipe: what is plainly there is read, nothing is guessed, the rest is kept as words."""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import Any

from proofpan.study.errors import StudyError

YIELD = re.compile(r"\b(makes|serves)\s*:?\s*(?:about\s+)?([^.;\n]+)", re.I)
OVEN = re.compile(r"\b(?:(\d{2,3})\s*°?\s*([CF])\b(\s*(?:fan|convection))?|gas mark\s*(\d+))", re.I)
MINUTES = re.compile(r"(\d+(?:\.\d+)?)(?:\s*(?:-|–|to)\s*(\d+(?:\.\d+)?))?\s*(?:min\b|mins\b|minutes?\b)", re.I)
HOURS = re.compile(r"(\d+(?:\.\d+)?)(?:\s*(?:-|–|to)\s*(\d+(?:\.\d+)?))?\s*(?:h\b|hours?\b)", re.I)
HOT = re.compile(
    r"\b(?:fr(?:y|ies|ied|ying)|saut[eé]\w*|simmer\w*|boil\w*|poach\w*|sear\w*|wok|skillet|frying pan|saucepan|griddle|hob|hot oil"
    r"|(?:heat|warm)\b[^.;]{0,30}\boil)\b",
    re.I,
)
HEAT = re.compile(r"\b(low|medium|high) heat\b", re.I)
BAKED = re.compile(r"\b(?:oven|fan|convection|gas mark|bak(?:e|es|ed|ing)|roast\w*|pre-?heat\w*)\b", re.I)
OF_THE_FOOD = re.compile(r"\b(?:reach\w*|core|cent(?:re|er)|inside|internal\w*|regist\w*|thermometer|probe)\b[^.;]*$", re.I)
CUE = re.compile(r"\buntil\s+([^,.;]+)", re.I)
STOPS = re.compile(r"(?<=[.!])\s+(?=[A-Z])")
HEADS = re.compile(r"^(ingredients|method|directions|instructions|you will need|steps)\s*:?\s*$", re.I)
NUMBERED = re.compile(r"^\s*(?:\d+[.)]|[-*•–])\s*")
AMOUNT = re.compile(r"^\s*(?:[\d¼½¾⅓⅔⅛⅜⅝⅞]|a |an |one |two |three |half |pinch|knob|handful|salt|water|juice|zest)", re.I)
LONGEST_LINE = 90
COMMON = {"the", "a", "an", "in", "to", "into", "with", "and", "of", "on", "then"}


def recipe_from(text: str) -> dict[str, Any]:
    """A recipe's keys from pasted text.

    Raises: StudyError when no ingredient line is there.
    """
    lines = [
        NUMBERED.sub("", line).strip() if not line.strip()[:1].isdigit() or re.match(r"^\s*\d+[.)]\s", line) else line.strip()
        for line in text.splitlines()
    ]
    lines = [line for line in lines if line]
    if not lines:
        raise StudyError("Paste a recipe: its title, a line for each ingredient, then what is done.", field="recipe")
    found = YIELD.search(text)
    title = ""
    ingredients: list[str] = []
    doing: list[str] = []
    for line in lines:
        if HEADS.match(line):
            continue
        if not title and not _is_ingredient(line):
            title = YIELD.sub("", line).strip(" .,:;-–") or line
            continue
        if found and YIELD.fullmatch(line.strip(" .")):
            continue
        (ingredients if not doing and _is_ingredient(line) else doing).append(line)
    if not ingredients:
        raise StudyError("No ingredient was found: write each on a line of its own, such as 250 g plain flour.", field="recipe")
    out: dict[str, Any] = {"title": title[:100] or "The dish", "ingredients": ingredients, "method": steps_from(doing)}
    if found and found.group(1).lower() == "makes":
        out["makes"] = found.group(2).strip()
    elif found and (number := re.match(r"\d+", found.group(2).strip())):
        out["serves"] = int(number.group())
    return out


def _is_ingredient(line: str) -> bool:
    return bool(AMOUNT.match(line)) and len(line) <= LONGEST_LINE and not re.search(r"[.!]\s+[A-Z]", line)


def steps_from(lines: list[str], taken: Iterable[str] = ()) -> list[dict[str, Any]]:
    """Steps from what is said is done, a sentence a step; taken, names that other steps have."""
    sentences = [s.strip() for line in lines for s in STOPS.split(line) if s.strip()]
    out: list[dict[str, Any]] = []
    for sentence in sentences:
        step: dict[str, Any] = {"id": _name(sentence, [*taken, *(s["id"] for s in out)]), "do": sentence}
        hot = HOT.search(sentence) and not BAKED.search(sentence)
        oven = next((m for m in OVEN.finditer(sentence) if not OF_THE_FOOD.search(sentence[: m.start()])), None)
        if hot:
            heat = HEAT.search(sentence)
            step["hob"] = heat.group(1).lower() if heat else "medium"  # what stands there as °C is the fat's or the water's
        elif oven:
            step["oven"] = (
                f"gas mark {oven.group(4)}"
                if oven.group(4)
                else f"{oven.group(1)} {oven.group(2).upper()}{' fan' if oven.group(3) else ''}"
            )
        if time := _minutes(sentence):
            step["minutes"] = time
        if cue := CUE.search(sentence):
            step["until"] = cue.group(1).strip()
        out.append(step)
    return out


def _minutes(sentence: str) -> list[float] | None:
    for pattern, each in ((MINUTES, 1), (HOURS, 60)):
        if found := pattern.search(sentence):
            low = float(found.group(1)) * each
            return [low, float(found.group(2)) * each if found.group(2) else low]
    return None


def _name(sentence: str, taken: list[str]) -> str:
    words = [w for w in re.findall(r"[a-z]+", sentence.lower()) if w not in COMMON]
    base = words[0] if words else "step"
    name, number = base, 2
    while name in taken:
        name, number = f"{base} {number}", number + 1
    return name
