"""Readers' questions by kind, and complaints sorted: text, swap, oven, or us."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Sequence

from proofpan.study.afterwards import Cause, Complaint, Question, Reply
from proofpan.study.study import Study
from proofpan.study.words import counted, option_words, version_words

OFFER_AT = 3
KINDS = {
    "halve": "halve it", "double": "double it", "tin": "another tin", "no oven": "no oven", "dairy-free": "without dairy",
    "gluten-free": "without gluten", "vegan": "without animal products", "freeze": "freeze it", "ahead": "make it ahead", "swap": "a swap",
}
WORKED_OUT = ("halve", "double", "tin")
_CAUSES: tuple[tuple[Cause, str], ...] = (
    ("swap", r"\b(instead of|substitut|swapp?ed|replaced|used .{0,20} (rather|not))\b"),
    ("oven", r"\b(oven|burnt|raw in the middle|pale|undercooked|too (long|dark))\b"),
    ("text", r"\b(unclear|didn't say|doesn't say|missing|which|typo|how much|confus)\b"),
)


CAUSE_SAYS: dict[str, str] = {
    "text": "The text: mend the line and make the next edition.",
    "swap": "A swap: it tests the swap, not the recipe; say so, and count it among what readers ask for.",
    "oven": "The oven: ask for its thermometer and the real time; look earlier or later, and widen the printed range if it comes again.",
    "us": "Us: nothing explains it yet. Make it once more as printed.",
}


def replies(study: Study, questions: Sequence[Question]) -> tuple[Reply, ...]:
    """One reply a kind of question: as cooked, as worked out, or not known; three of a kind offer a small test."""
    counts = Counter(q.kind for q in questions)
    out = []
    for kind, asked in counts.most_common():
        words = KINDS.get(kind, kind)
        cooked = _cooked_option(study, kind, [q.words for q in questions if q.kind == kind])
        if cooked is not None:
            out.append(Reply(kind=kind, asked=asked, answer="cooked", says=cooked))
        elif kind in WORKED_OUT:
            says = f"To {words}: the amounts are worked out, nobody has cooked it so; times change little, tins do. Look early."
            out.append(Reply(kind=kind, asked=asked, answer="worked out", says=says, offer_test=asked >= OFFER_AT))
        else:
            says = f"{words[0].upper()}{words[1:]}: we don't know; it would need a test."
            if asked >= OFFER_AT:
                says += f" {counted(asked, 'reader')} asked: a load of {study.brief.base.trial_makes if study.brief.base else 'it'} would tell."
            out.append(Reply(kind=kind, asked=asked, answer="don't know", says=says, offer_test=asked >= OFFER_AT))
    return tuple(out)


def _cooked_option(study: Study, kind: str, words: Sequence[str]) -> str | None:
    """Whether an option that readers ask for was among what was cooked."""
    text = " ".join(words).casefold()
    for factor in study.factors:
        for option in factor.options:
            if option.name == factor.plain.name or option.name.casefold() not in text:
                continue
            makes = [t for t in study.cooked if t.version.get(factor.name) == option.name]
            good = [t for t in makes if not t.failed]
            if good:
                shown = option_words(factor.name, option.name)
                return f"Cooked with {shown}: {counted(len(good), 'good make')} of {len(makes)}, for instance {version_words(good[0].version)}."
    return None


def sort_complaint(words: str, *, swapped: bool | None = None) -> Complaint:
    """What a complaint is put down to first; a cook may put it elsewhere.

    Parameters: words, the reader's; swapped, whether they are known to have changed something.
    """
    cause: Cause = "swap" if swapped else next((c for c, pattern in _CAUSES if re.search(pattern, words, re.I)), "us")
    says = CAUSE_SAYS[cause]
    return Complaint(words=words, cause=cause, says=says)
