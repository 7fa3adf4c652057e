"""What of a study's records may be passed on: labels for the names of tasters and testers, none of their words, contacts or no-lists."""

import re
from collections.abc import Iterable, Mapping
from dataclasses import replace
from typing import Any

from proofpan.study.labelled import text_with_labels
from proofpan.study.private import TOLD, text_without_no_lists

from .entries import Event, PersonEntry, RevisionEntry, TastingEntry

# whose words they are is told by the kind: a ballot's are a taster's, a report's are another kitchen's
WORDS_OF_PEOPLE = {"ballot": ("words",), "answer": ("words",), "cross-test": ("note", "words", "photo")}
OF_PEOPLE = ("no", "contact", "contacts", "email", "phone")
NUMBERED = re.compile(r"(Taster|Kitchen) \d+")


class PassingOn:
    """Rewrites one study's records for others.

    Parameters: texts, its revisions, oldest first; happened, its events; seated, its tastings; known, who has facts kept apart. An
        invented study's people are nobody and keep their names.
    """

    def __init__(self, texts: Iterable[str], happened: Iterable[Event], seated: Iterable[TastingEntry], known: Iterable[PersonEntry]) -> None:
        asked, invented = _asked(tuple(texts))
        tasters = [*asked, *(t for s in seated for t in s.tasters), *(p.name for p in known)]
        testers: list[str] = []
        for event in happened:
            tasters += [str(event.payload["taster"])] if event.payload.get("taster") else []
            tasters += [event.person] if event.person else []
            tasters += list(event.payload.get("orders") or {}) if isinstance(event.payload.get("orders"), dict) else []
            row = event.payload.get("row")
            testers += [str(x["tester"]) for x in (event.payload, row) if isinstance(x, Mapping) and x.get("tester")]
        labels = _numbered("Taster", tasters) | {k: v for k, v in _numbered("Kitchen", testers).items() if k not in tasters}
        self.labels: dict[str, str] = {} if invented else labels
        names = "|".join(re.escape(n) for n in sorted(self.labels, key=len, reverse=True))
        self._name = re.compile(rf"(?<!\w)(?:{names})(?!\w)") if names else None

    def text(self, text: str) -> str:
        """A revision's text."""
        return text_with_labels(text_without_no_lists(text), self.labels)

    def event(self, event: Event) -> Event:
        """An event, but for what is a person's own."""
        return replace(event, key=self.words(event.key), payload=self._bare(event.payload, WORDS_OF_PEOPLE.get(event.kind, ())), person=None)

    def revision(self, entry: RevisionEntry) -> RevisionEntry:
        """What a change was called."""
        return replace(entry, note=self.words(entry.note))

    def tasting(self, entry: TastingEntry) -> TastingEntry:
        """Who sat where, by their labels."""
        return replace(entry, tasters=tuple(self.labels.get(t, t) for t in entry.tasters))

    def words(self, text: str) -> str:
        """A text with labels where a name stands as a word of its own."""
        return self._name.sub(lambda m: self.labels[m.group()], text) if self._name is not None else text

    def _bare(self, value: Any, own: tuple[str, ...]) -> Any:
        if isinstance(value, Mapping):
            return {self.words(str(k)): self._bare(v, own) for k, v in value.items() if k not in own and k not in OF_PEOPLE}
        if isinstance(value, list | tuple):
            return [self._bare(v, own) for v in value if not (isinstance(v, str) and TOLD.search(v))]
        if isinstance(value, str):
            return "" if TOLD.search(value) else self.words(value)
        return value


def _numbered(what: str, names: Iterable[str]) -> dict[str, str]:
    """{name: label}, in the order met; one that is a label already keeps it."""
    out: dict[str, str] = {}
    for number, name in enumerate(dict.fromkeys(n for n in names if n.strip()), 1):
        if not NUMBERED.fullmatch(name):
            out[name] = f"{what} {number}"
    return out


def _asked(texts: tuple[str, ...]) -> tuple[list[str], bool]:
    """(everyone whom any revision asks, the newest's first; whether the newest says that it is invented)."""
    names: list[str] = []
    invented = False
    for i, text in enumerate(reversed(texts)):
        found = _read(text)
        if i == 0:
            invented = found.get("invented") is True
        tasters = found.get("tasters")
        for t in tasters if isinstance(tasters, list) else []:
            names.append(str(t.get("name", "")) if isinstance(t, Mapping) else str(t))
    return names, invented


def _read(text: str) -> Mapping[str, Any]:
    """A study's text as plain values; nothing of one that can't be read."""
    from ruamel.yaml import YAML, YAMLError

    try:
        found = YAML(typ="safe", pure=True).load(text)
    except (YAMLError, ValueError):
        return {}
    return found if isinstance(found, Mapping) else {}
