"""What is private to tasters in a study: what they don't eat, and their words. It is kept apart and goes into no file that is passed on."""

from __future__ import annotations

import re
from collections.abc import Mapping

from proofpan.study.study import Study

TOLD = re.compile(r"what they don.t eat|holds what .* don.t eat|'s no-list says|or ask .* before serving|read the label for .* before serving")


def no_lists(study: Study) -> dict[str, tuple[str, ...]]:
    """{taster: what they don't eat} of those who are still asked."""
    return {t.name: t.no for t in study.brief.tasters if t.left is None}


def with_no_lists(study: Study, lists: Mapping[str, tuple[str, ...]]) -> Study:
    """The study with what was kept apart, which goes before what an older text still holds."""
    tasters = tuple(t.model_copy(update={"no": lists[t.name]}) if t.name in lists and t.no != lists[t.name] else t for t in study.brief.tasters)
    if tasters == study.brief.tasters:
        return study
    merged = study.model_copy(update={"brief": study.brief.model_copy(update={"tasters": tasters})})
    merged._lines = study._lines
    return merged


def without_no_lists(study: Study) -> Study:
    """The study as if nobody had said what they don't eat."""
    return with_no_lists(study, {t.name: () for t in study.brief.tasters})


def shareable(study: Study) -> Study:
    """The study as it may be passed on: no no-lists, none of the sentences that follow from them, no words of tasters, no testers' names."""
    bare = without_no_lists(study)
    rounds = tuple(r.model_copy(update={"cautions": tuple(c for c in r.cautions if not TOLD.search(c))}) for r in bare.rounds)
    sittings = tuple(s.model_copy(update={"cautions": ()}) for s in bare.sittings)
    ballots = tuple(b.model_copy(update={"words": ""}) if b.words else b for b in bare.ballot_records)
    number = {k: i for i, k in enumerate(dict.fromkeys(m.kitchen for m in bare.kitchen_marks), 1)}
    marks = tuple(m.model_copy(update={"kitchen": f"kitchen {number[m.kitchen]}"}) for m in bare.kitchen_marks)
    return bare.model_copy(update={"rounds": rounds, "sittings": sittings, "ballot_records": ballots, "kitchen_marks": marks})


def text_without_no_lists(text: str, only: str | None = None) -> str:
    """A study file's text without its tasters' no-lists, all else as it was; a text that holds none comes back to the byte.

    Parameters: only, one taster's.
    """
    if not re.search(r"""\bno["']?\s*:""", text):
        return text
    for start, end in reversed(_stated(text, only)):
        text = text[:start] + text[end:]
    return text


def _stated(text: str, only: str | None) -> list[tuple[int, int]]:
    """Where a study file's text says its tasters' no-lists, each with the comma or the line that goes with it; nothing of what can't be read."""
    from ruamel.yaml import YAML, YAMLError
    from ruamel.yaml.nodes import MappingNode, SequenceNode

    try:
        root = YAML(typ="rt").compose(text)
    except YAMLError:
        return []
    found = []
    tasters = next((v for k, v in root.value if k.value == "tasters"), None) if isinstance(root, MappingNode) else None
    for taster in tasters.value if isinstance(tasters, SequenceNode) else []:
        pairs = taster.value if isinstance(taster, MappingNode) else []
        name = next((v.value for k, v in pairs if k.value == "name"), None)
        for i, (key, value) in enumerate(pairs):
            if key.value == "no" and len(pairs) > 1 and only in (None, name):
                start = pairs[i - 1][1].end_mark.index if i else key.start_mark.index
                end = value.end_mark.index if i else pairs[1][0].start_mark.index
                start = len(text[:start].rstrip()) if i else start      # a block ends where the next thing begins
                end = max(start, len(text[:end].rstrip())) if i else end
                found.append((start, end))
    return found
