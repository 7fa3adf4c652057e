"""A text that comes back from copy desk, translator or script, held against the edition: numbers, units, order, lost lines."""

from __future__ import annotations

import re
from difflib import SequenceMatcher

from proofpan.steps.recipe import STATUSES, WorkedRecipe
from proofpan.study.afterwards import TextChange
from proofpan.study.edition import Edition, recipe_lines
from proofpan.study.errors import quoted

_NUMBER = re.compile(r"\d+(?:[.,/]\d+)?|[¼½¾⅓⅔⅛]")
_UNIT = re.compile(r"(?<=[\d¼½¾⅓⅔⅛\s])(kg|g|mg|ml|mL|l|L|cm|mm|tsp|tbsp|cups?|oz|lb|°?C|°?F|minutes?|min|hours?|h)\b")
_SAME = {"minutes": "min", "minute": "min", "hours": "h", "hour": "h", "ml": "mL", "l": "L", "cups": "cup", "°C": "C", "°F": "F"}
_STATUS = re.compile(rf"\s*\[(?:{'|'.join(STATUSES)})\]\s*$")      # where a figure comes from stands behind a line of ours; it isn't the line
ALIKE = 0.55
WORDS_AROUND = 3
LONGEST_SHOWN = 160


def text_changes(edition: Edition, text: str, printed: WorkedRecipe | None = None) -> tuple[TextChange, ...]:
    """Every changed number, unit or order and every lost or added line between an edition and a pasted text.

    Parameters: text, the whole recipe as it came back, a line each as far as it goes; printed, the edition worked out for
        readers, whose very lines were sent: then times and settings that it writes out, allergens and cautions are held too.
    """
    ours = {name: line for name, line in recipe_lines(edition.recipe).items() if name.split()[0] in ("ingredient", "step", "makes", "title")}
    theirs = [_bare(row) for row in text.splitlines()]
    theirs = [row for row in theirs if row]
    sent: set[str] = set()
    if printed is not None:
        ours = _printed(printed)
        sent = {_bare(row) for row in printed.text().splitlines()} | set(ours.values()) | {_bare(edition.warning or "")}
    pairs = _paired(ours, theirs)
    out: list[TextChange] = []
    for name, line in ours.items():
        where = pairs.get(name)
        if where is None:
            out.append(TextChange(kind="lost", line=name, before=line, after="", says=f"Lost: {quoted(line)}."))
        else:
            out += _within(name, line, theirs[where])
    taken = set(pairs.values())
    heads = re.compile(r"^(ingredients?|method|makes|serves|equipment|notes?)\b", re.I)
    out += [TextChange(kind="added", line="", before="", after=row, says=f"Added: {quoted(row)}.")
            for i, row in enumerate(theirs) if i not in taken and not heads.match(row) and row not in sent and not row.startswith("DRAFT")]
    return tuple(out + _out_of_order(pairs, ours))


def _bare(row: str) -> str:
    row = _STATUS.sub("", row)
    return row.strip(" \t-•*·0123456789.)") if re.match(r"\s*\d+[.)]\s", row) else row.strip(" \t-•*·")


def _printed(worked: WorkedRecipe) -> dict[str, str]:
    """The lines as they were sent, by the names that `recipe_lines` gives them; allergens and cautions too."""
    facts = next((row for row in worked.text().splitlines() if worked.makes and row.startswith(f"Makes {worked.makes}")), None)
    out = {"title": worked.title} | ({"makes": facts} if facts else {})
    out |= {"contains": "Contains: " + ", ".join(worked.allergens)} if worked.allergens else {}
    out |= {f"caution {i}": f"Careful: {c}" for i, c in enumerate(worked.cautions, 1)}
    out |= {f"ingredient {x.item}": x.text for x in worked.lines}
    return out | {f"step {s.id}": _bare(s.text) for s in worked.method}


def _paired(ours: dict[str, str], theirs: list[str]) -> dict[str, int]:
    scores = sorted(
        ((SequenceMatcher(None, _plain(line), _plain(row)).ratio(), name, i) for name, line in ours.items() for i, row in enumerate(theirs)),
        key=lambda s: (-s[0], s[1], s[2]),
    )
    pairs: dict[str, int] = {}
    used: set[int] = set()
    for score, name, i in scores:
        if score >= ALIKE and name not in pairs and i not in used:
            pairs[name] = i
            used.add(i)
    return pairs


def _plain(line: str) -> str:
    return re.sub(r"[^a-z ]+", "", line.split(" · ")[0].casefold())


def _numbers(text: str) -> list[str]:
    return [n.replace(",", ".") for n in _NUMBER.findall(text)]


def _units(text: str) -> list[str]:
    return [_SAME.get(u, u) for u in _UNIT.findall(text)]


def _within(name: str, before: str, after: str) -> list[TextChange]:
    said = before if _settings_in(after) else before.split(" · ")[0]
    shown = _apart(said, after)
    out = []
    if _numbers(said) != _numbers(after):
        out.append(TextChange(kind="number", line=name, before=before, after=after, says=f"A number changed in {name}: {shown}."))
    if _units(said) != _units(after):
        out.append(TextChange(kind="unit", line=name, before=before, after=after, says=f"A unit changed in {name}: {shown}."))
    if not out and _plain(said) != _plain(after):
        out.append(TextChange(kind="words", line=name, before=before, after=after, says=f"Other words in {name}: {shown}."))
    return out


def _apart(before: str, after: str) -> str:
    """Where two lines differ, with a few words around it: what stood there became what."""
    ours, theirs = before.split(), after.split()
    same = 0
    while same < min(len(ours), len(theirs)) and ours[same] == theirs[same]:
        same += 1
    back = 0
    while back < min(len(ours), len(theirs)) - same and ours[-1 - back] == theirs[-1 - back]:
        back += 1
    first, cut = max(0, same - WORDS_AROUND), [len(words) - max(0, back - WORDS_AROUND) for words in (ours, theirs)]
    lead = "… " if first else ""
    old, new = (lead + " ".join(words[first:end]) + (" …" if end < len(words) else "") for words, end in zip((ours, theirs), cut, strict=True))
    return f"“{_short(old)}” became “{_short(new)}”"


def _short(text: str) -> str:
    return text if len(text) <= LONGEST_SHOWN else text[:LONGEST_SHOWN].rsplit(" ", 1)[0] + " …"


def _settings_in(text: str) -> bool:
    return " · " in text


def _out_of_order(pairs: dict[str, int], ours: dict[str, str]) -> list[TextChange]:
    out = []
    for kind in ("ingredient", "step"):
        order = [(n, pairs[n]) for n in ours if n.startswith(kind) and n in pairs]
        for (first, a), (second, b) in zip(order, order[1:], strict=False):
            if a > b:
                out.append(TextChange(kind="order", line=first, before=ours[first], after=ours[second],
                                      says=f"The order changed: {first} now comes after {second}."))
    return out
