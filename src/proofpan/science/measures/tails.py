"""Splits the words after the amount into the ingredient, how it is prepared, notes, extras and alternatives."""

import re
from dataclasses import dataclass

from proofpan.science.measures.definitions import vocabulary

# Handling that a line may put before or after the name without changing what is bought.
HANDLING = vocabulary("handling")
# Before the name only these are handling; "ground cumin", "toasted sesame oil" and "crushed tomatoes" are other things to buy.
BEFORE = vocabulary("handling_before")
HOW = vocabulary("how")
# Words that may stand before a comma without the ingredient being named yet: "4 boneless, skinless chicken thighs".
DESCRIBING = vocabulary("describing")
# Bought under that name, so the handling word belongs to the name.
_BOUGHT = re.compile(
    r"^(?:sliced|shredded|grated|chopped|crumbled|peeled|pitted|mashed|packed)\s+"
    r"(?:bread|almonds|coconut|wheat|tomatoes in|mixed|lunch|ham\b|white bread|olives|dates)",
    re.IGNORECASE,
)
_NOTE = re.compile(
    r"(?:^|[,;]?\s*(?:\bor\s+|\band\s+)?\b)"
    r"(?P<note>(?:or\s+|plus\s+)?(?:more\s+|extra\s+)?"
    r"(?:to taste|to season|as (?:needed|required|necessary|desired|you like)"
    r"|if (?:needed|required|necessary|desired|liked|you like|using)|optional"
    r"|to (?:serve|garnish|finish|decorate|drizzle|cover|dust|sprinkle|grease|fill|bind|top|loosen|thin)(?:\s+with)?(?:\s+the\s+\w+)?"
    r"|for (?:the\s+)?(?:(?:\w+\s+)?[\w-]+ing\b.*|tins?|trays?|pans?|boards?|work\s?(?:top|surface)|garnish|bench)"
    r"|at room temperature when needed))\s*$",
    re.IGNORECASE,
)
_EXTRA = re.compile(
    r"[,;]?\s*(?:\+|\bplus\b|\band\b|&)\s*(?:a\s+(?:little|bit)\s+)?(?:some\s+)?\b(?:extra|more)\b[,:]?\s*(?P<extra>.*)$",
    re.IGNORECASE,
)
_ADDED = re.compile(r"[,;]?\s*(?:\+|\bplus\b)\s*(?P<extra>(?:about\s+)?[\d¼½¾⅐-⅞].*|(?:an?|one|two)\s.*)$", re.IGNORECASE)
_SPLIT = re.compile(r"\s*[,;](?!\d)\s*|\s+[-–]\s+")
_MIXED = re.compile(r"\s+(?=(?:mixed|dissolved|beaten|whisked|blended|stirred|combined|slaked|diluted|steeped)\s+(?:with|in|into|to)\s)", re.IGNORECASE)
_END = re.compile(r"\s*[,;–-]\s*$")
_OR = re.compile(r"\s+or\s+", re.IGNORECASE)
_NOTE_IN_BRACKETS = re.compile(
    r"\b(?:optional|see|note|such as|e\.?g\.?|or|if|preferably|ideally|about|approx|from|page|like|i\.?e\.?|not)\b",
    re.IGNORECASE,
)


@dataclass(frozen=True, slots=True)
class Tail:
    """The words of a line after its amount; texts as written."""

    item: str
    prep: str | None = None
    prep_first: str | None = None
    note: str | None = None
    extra: str | None = None
    alternatives: tuple[str, ...] = ()
    flags: tuple[str, ...] = ()


def _words(text: str) -> list[str]:
    return [word.strip(".,;:").lower() for word in text.split()]


def describes_only(text: str) -> bool:
    """Whether these words only describe: nothing that could be the ingredient's name is among them."""
    words = _words(text)
    return bool(words) and all(word in DESCRIBING or word in HOW or word in HANDLING for word in words)


def _leading(item: str, bought: bool) -> tuple[str, str]:
    """Handling before the name, and the name: ("finely chopped", "parsley")."""
    if bought or _BOUGHT.match(item):
        return "", item
    words = item.split()
    count = 0
    while count < len(words) and (words[count].lower().strip(",") in BEFORE or words[count].lower() in HOW):
        count += 1
    while count and words[count - 1].lower() in HOW:
        count -= 1
    if count == 0 or count == len(words):
        return "", item
    return " ".join(words[:count]).rstrip(","), " ".join(words[count:])


def _trailing(item: str) -> tuple[str, str]:
    """The name, and handling that follows it without a comma: ("almonds", "chopped")."""
    words = item.split()
    count = len(words)
    while count > 1 and (words[count - 1].lower() in HANDLING or words[count - 1].lower() in HOW):
        count -= 1
    if count == len(words) or words[-1].lower() not in HANDLING:
        return item, ""
    return " ".join(words[:count]), " ".join(words[count:])


def _brackets(text: str) -> tuple[str, list[str], bool]:
    """The text without its brackets, what stood in them, and whether they were whole."""
    if "(" not in text and ")" not in text:
        return text.strip(), [], True
    inside = re.findall(r"\(([^()]*)\)", text)
    bare = re.sub(r"\s*\([^()]*\)", "", text)
    whole = "(" not in bare and ")" not in bare
    return bare.strip(), [part.strip() for part in inside if part.strip()], whole


def _alternatives(item: str) -> tuple[str, tuple[str, ...], str | None]:
    """The first of several ingredients offered, the others, and a doubt where they may share a word."""
    parts = _OR.split(item)
    if len(parts) == 1:
        return item, (), None
    first, rest = parts[0].strip(), tuple(part.strip() for part in parts[1:])
    if not first or not all(rest):
        return item, (), "an alternative isn't named"
    shares = len(first.split()) == 1 and any(len(part.split()) > 1 and not part[0].isdigit() for part in rest)
    if shares or describes_only(first):
        return item, (), '"or" kept as written: it may offer two things or describe one'
    return first, rest, None


def split_tail(text: str, bought: bool = False) -> Tail:
    """Splits what follows the amount.

    Args:
        text: the words after the amount, without brackets that hold a measure.
        bought: the amount is in tins or packets, so handling words before the name belong to it ("chopped tomatoes").
    """
    flags: list[str] = []
    notes: list[str] = []
    preps: list[str] = []
    extra: str | None = None
    text, inside, whole = _brackets(text)
    if not whole:
        flags.append("a bracket isn't closed")
    for part in list(inside):
        if extra is None and (found := _EXTRA.match(part)):
            extra = found["extra"].strip(" ,;") or "extra"
            inside.remove(part)
    for part in inside:
        (notes if _NOTE_IN_BRACKETS.search(part) or not set(_words(part)) & HANDLING else preps).append(part)
    if (found := _EXTRA.search(text)) and found.start() > 0:
        extra = found["extra"].strip(" ,;") or "extra"
        text = text[: found.start()].strip()
    elif found := _ADDED.search(text):
        extra = found["extra"].strip(" ,;")
        flags.append("more is added to the amount")
        text = text[: found.start()].strip()
    while found := _NOTE.search(text):
        if found.start() == 0 and not text[: found.start("note")].strip():
            break
        notes.insert(0, found["note"].strip())
        text = text[: found.start()].rstrip(" ,;")
    pieces = [piece.strip() for piece in _SPLIT.split(text)]
    starts = [0] + [match.end() for match in _SPLIT.finditer(text)]
    taken = 1
    while taken < len(pieces) and describes_only(" ".join(pieces[:taken])):
        taken += 1
    cut = starts[taken] if taken < len(pieces) else len(text)
    item = _END.sub("", text[:cut]).strip() if taken < len(pieces) else text.strip()
    after = text[cut:].strip(" ,;") if taken < len(pieces) else ""
    if after:
        (notes if re.match(r"(?:or|see|about|such as|e\.?g\.?|preferably|ideally)\b", after, re.IGNORECASE) else preps).insert(0, after)
    if (mixed := _MIXED.search(item)) and mixed.start() > 0:
        preps.insert(0, item[mixed.end() :].strip(" ,;"))
        item = item[: mixed.start()]
    item, alternatives, doubt = _alternatives(item)
    if doubt:
        flags.append(doubt)
    first, item = _leading(item, bought)
    item, last = ("", "") if not item else _trailing(item)
    if last:
        preps.insert(0, last)
        flags.append(f'"{last}": before or after measuring can\'t be told')
    if first:
        preps.insert(0, first)
    return Tail(
        item.strip(" .,;:-–"),
        ", ".join(preps) or None,
        first or None,
        "; ".join(notes) or None,
        extra,
        alternatives,
        tuple(flags),
    )
