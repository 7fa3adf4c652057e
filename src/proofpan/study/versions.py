"""Versions: one option of everything that varies; always shown in words."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from proofpan.study.brief import Brief, Factor, unknown_option
from proofpan.study.errors import did_you_mean, quoted
from proofpan.study.fields import as_text

MOST_VERSIONS = 5_000


class VersionFault(Exception):
    """A version that doesn't fit the study; the text is a sentence."""


class Version(Mapping[str, str]):
    """`{factor: option}` in the study's order, without factors that don't apply; equal and hashable by its text."""

    __slots__ = ("_pairs", "_text")

    def __init__(self, pairs: Mapping[str, str] | tuple[tuple[str, str], ...]) -> None:
        self._pairs = dict(pairs)
        self._text = "; ".join(f"{k}={v}" for k, v in self._pairs.items())

    def __getitem__(self, key: str) -> str:
        return self._pairs[key]

    def __iter__(self):  # type: ignore[no-untyped-def]
        return iter(self._pairs)

    def __len__(self) -> int:
        return len(self._pairs)

    def __hash__(self) -> int:
        return hash(self._text)

    def __eq__(self, other: object) -> bool:
        if isinstance(other, Version):
            return self._text == other._text
        return isinstance(other, Mapping) and self._pairs == dict(other)

    def __str__(self) -> str:
        return self._text

    def __repr__(self) -> str:
        return f"Version({self._text!r})"


def applies(factor: Factor, chosen: Mapping[str, str]) -> bool:
    """Whether a factor applies, given the options of the factors it hangs on."""
    return all(chosen.get(other) in options for other, options in factor.when)


def in_order(factors: tuple[Factor, ...]) -> tuple[Factor, ...]:
    """Factors so that each comes after those it hangs on (circles are refused at load)."""
    done: list[Factor] = []
    waiting = list(factors)
    while waiting:
        names = {f.name for f in done}
        ready = [f for f in waiting if all(o in names for o, _ in f.when)] or waiting
        done.append(ready[0])
        waiting.remove(ready[0])
    return tuple(done)


def _ruled_out(brief: Brief, chosen: Mapping[str, str]) -> bool:
    return any(all(chosen.get(f) == o for f, o in line) for line in brief.never)


def count_of(brief: Brief) -> int:
    """The most versions there could be, before `when` and `never`."""
    total = 1
    for factor in brief.factors:
        total *= max(1, len(factor.kept)) if factor.dropped is None else 1
    return total


def enumerate_versions(brief: Brief) -> tuple[Version, ...]:
    """The versions that can be made, in order: the first factor slowest, options as written.

    Raises: VersionFault when there are more than 5,000.
    """
    if count_of(brief) > MOST_VERSIONS * 20:
        raise VersionFault(f"These factors make about {count_of(brief):.0e} versions; at most {MOST_VERSIONS:,} can be "
                           "judged: vary fewer factors or options at a time.")
    current = tuple(f for f in in_order(brief.factors) if f.dropped is None)
    partial: list[dict[str, str]] = [{}]
    for factor in current:
        grown: list[dict[str, str]] = []
        for chosen in partial:
            if applies(factor, chosen):
                grown += [{**chosen, factor.name: o.name} for o in factor.kept]
            else:
                grown.append(chosen)
        partial = grown
    order = [f.name for f in brief.factors]
    rank = {(f.name, o.name): i for f in brief.factors for i, o in enumerate(f.options)}
    found = [{n: c[n] for n in order if n in c} for c in partial if not _ruled_out(brief, c)]
    found.sort(key=lambda c: tuple(rank.get((n, c.get(n, "")), -1) for n in order))
    if len(found) > MOST_VERSIONS:
        raise VersionFault(f"These factors make {len(found):,} versions; at most {MOST_VERSIONS:,} can be judged: "
                           "vary fewer factors or options at a time.")
    return tuple(Version(c) for c in found)


def read_version(brief: Brief, given: Any) -> Version:
    """A mapping or `fat=olive oil; oven=190` as a version: left-out factors count as plain, case and spaces forgiven.

    Raises: VersionFault naming an unknown factor or option, or one that doesn't apply.
    """
    chosen = _pairs(given)
    known = {f.name: f for f in brief.factors}
    exact: dict[str, str] = {}
    for name, option in chosen.items():
        factor = known.get(name) or next((f for f in brief.factors if f.name.casefold() == name.casefold()), None)
        if factor is None:
            raise VersionFault(f"{quoted(name)} isn't something that varies here. {did_you_mean(name, list(known))}")
        exact[factor.name] = _option(factor, option)
    full: dict[str, str] = {}
    for factor in in_order(brief.factors):
        if not applies(factor, full):
            if factor.name in exact:
                hangs = " and ".join(f"{o} is {' or '.join(v)}" for o, v in factor.when)
                raise VersionFault(f"{quoted(factor.name)} doesn't apply here: only where {hangs}.")
            continue
        full[factor.name] = exact.get(factor.name, factor.plain.name)
    return Version({f.name: full[f.name] for f in brief.factors if f.name in full})


def _option(factor: Factor, option: str) -> str:
    names = [o.name for o in factor.options]
    if option in names:
        return option
    folded = [n for n in names if n.casefold() == option.casefold()]
    if folded:
        return folded[0]
    numeric = [n for n in names if _number(n) is not None and _number(n) == _number(option)]
    if numeric:
        return numeric[0]
    raise VersionFault(unknown_option(factor, option))


def _number(text: str) -> float | None:
    try:
        return float(text)
    except ValueError:
        return None


def _pairs(given: Any) -> dict[str, str]:
    if isinstance(given, Mapping):
        return {str(k).strip(): _word(v) for k, v in given.items() if v is not None and _word(v)}
    text = str(given).strip()
    out: dict[str, str] = {}
    for part in text.split(";"):
        if not part.strip():
            continue
        name, equals, option = part.partition("=")
        if not equals or not name.strip() or not option.strip():
            raise VersionFault(f"{quoted(text)} isn't a version: write it as fat=olive oil; oven=190.")
        if name.strip() in out:
            raise VersionFault(f"{quoted(name.strip())} stands twice in {quoted(text)}: give one option.")
        out[name.strip()] = option.strip()
    return out


def _word(value: Any) -> str:
    return "" if isinstance(value, float) and value != value else as_text(value).strip()


def complete(brief: Brief, version: Mapping[str, str]) -> Version:
    """A trial's version with factors added later at *as written*, and without options that no longer apply."""
    full: dict[str, str] = {}
    for factor in in_order(brief.factors):
        if applies(factor, full):
            full[factor.name] = version.get(factor.name, factor.plain.name)
    return Version({f.name: full[f.name] for f in brief.factors if f.name in full})


def current(brief: Brief, version: Mapping[str, str]) -> Version:
    """A version in words without the factors that were dropped since."""
    gone = {f.name for f in brief.factors if f.dropped is not None}
    return Version({k: v for k, v in version.items() if k not in gone})


def is_current(brief: Brief, version: Mapping[str, str]) -> bool:
    """Whether a version holds only options that are still in the brief, and is not ruled out."""
    for factor in brief.factors:
        name = version.get(factor.name)
        if name is None:
            continue
        option = factor.option(name)
        if option is None or option.dropped is not None:
            return False
        if factor.dropped is not None and name != factor.plain.name:
            return False
    return not _ruled_out(brief, version)


def benchmark_of(brief: Brief, version: Mapping[str, str]) -> bool:
    """Whether a version is bought in: tasted, never published."""
    return any((o := f.option(version.get(f.name, ""))) is not None and o.benchmark for f in brief.factors)


def complete_edits(brief: Brief, version: Mapping[str, str]) -> tuple[tuple[Factor, Any], ...]:
    """The options whose edits make a version, whole other recipes first, then in the study's order."""
    chosen = [(f, o) for f in brief.factors if (o := f.option(version.get(f.name, ""))) is not None and o.edits]
    whole = [c for c in chosen if any(e.verb == "recipe" for e in c[1].edits)]
    return (*whole, *(c for c in chosen if c not in whole))
