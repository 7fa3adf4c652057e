"""A study's file without its tasters' names: each is Taster 1, Taster 2, … in the order asked; all else stays as it was written, to the byte."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping

from ruamel.yaml import YAML, YAMLError
from ruamel.yaml.nodes import MappingNode, Node, ScalarNode, SequenceNode

from proofpan.study.study import Study

OF_PEOPLE = ("people", "skills", "breaks")  # of the kitchen: whoever cooks and tastes is named there too


def taster_labels(study: Study) -> dict[str, str]:
    """{name: label} of everyone who was ever asked; none in an invented study, whose people are nobody."""
    if study.brief.invented:
        return {}
    return {t.name: f"Taster {n}" for n, t in enumerate(study.brief.tasters, 1) if t.name != f"Taster {n}"}


def text_with_labels(text: str, labels: Mapping[str, str]) -> str:
    """A study file's text with labels for names, where it says who tastes, tasted or cooks.

    What somebody wrote by hand (notes, reasons, comments) stays as written. A text that can't be read comes back as it is.
    """
    if not labels:
        return text
    try:
        root = YAML(typ="rt").compose(text)
    except YAMLError:
        return text
    out = text
    for node in sorted(_names(root, (), labels), key=lambda n: -int(n.start_mark.index)):
        old = out[node.start_mark.index : node.end_mark.index]
        out = out[: node.start_mark.index] + _relabelled(str(node.value), old, labels) + out[node.end_mark.index :]
    return out


def _relabelled(value: str, written: str, labels: Mapping[str, str]) -> str:
    if value in labels:
        return labels[value]
    names = "|".join(re.escape(n) for n in sorted(labels, key=len, reverse=True))
    return re.sub(rf"(?<!\w)(?:{names})(?!\w)", lambda m: labels[m.group()], written)


def _names(node: Node | None, path: tuple[str, ...], labels: Mapping[str, str]) -> Iterator[ScalarNode]:
    """The scalars that name a taster."""
    if isinstance(node, MappingNode):
        for key, value in node.value:
            if path[-1:] and path[-1] in OF_PEOPLE and "kitchen" in path and isinstance(key, ScalarNode) and key.value in labels:
                yield key
            yield from _names(value, (*path, str(key.value)), labels)
    elif isinstance(node, SequenceNode):
        for item in node.value:
            yield from _names(item, path, labels)
    elif isinstance(node, ScalarNode) and _is_a_name(str(node.value), path, labels):
        yield node


def _is_a_name(value: str, path: tuple[str, ...], labels: Mapping[str, str]) -> bool:
    if value in labels:
        return path[-1:] in (("taster",), ("tasters",)) or path[-2:] in (("tasters", "name"), ("taster", "name")) or path[:2] == ("kitchen", "people")
    return path[:1] == ("kitchen",) and any(p in OF_PEOPLE for p in path) and any(re.search(rf"(?<!\w){re.escape(n)}(?!\w)", value) for n in labels)
