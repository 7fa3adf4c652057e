"""What a brief must hold beyond the shape of its parts: names that meet, edits that fit, versions that can be counted.

Each check hands back faults with the path of the value at fault, so that one slip hides no other.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from itertools import combinations
from typing import Any

from proofpan.study.brief import Brief, Factor, unknown_option
from proofpan.study.edits import EditFault, TakeRecipe, apply, targets
from proofpan.study.equipment import thing
from proofpan.study.errors import did_you_mean, quoted
from proofpan.study.source import PathKey
from proofpan.study.versions import VersionFault, enumerate_versions

Found = tuple[str, PathKey]


def check_brief(brief: Brief) -> list[Found]:
    """All faults of a brief; when names don't meet, what hangs on them isn't looked at."""
    names = [*repeated_names(brief), *unknown_names(brief)]
    if names:
        return names
    if circle := circles(brief):
        return circle
    try:
        versions = enumerate_versions(brief)
    except VersionFault as fault:
        return [(str(fault), ("factors",))]
    if not versions:
        return [("No version can be made: never rules out every one.", ("never",))]
    return [*edits_that_dont_fit(brief), *collisions(brief, versions)]


def repeated_names(brief: Brief) -> Iterator[Found]:
    """Two factors, options, attributes, tasters, steps, ovens, cooks or things of one name."""
    yield from _repeats((f.name for f in brief.factors), lambda i: ("factors", i, "name"), "factors")
    yield from _repeats((a.name for a in brief.attributes), lambda i: ("attributes", i, "name"), "attributes")
    yield from _repeats((t.name for t in brief.tasters), lambda i: ("tasters", i), "tasters")
    kitchen = brief.kitchen
    yield from _repeats((o.name for o in kitchen.ovens), lambda i: ("kitchen", "ovens", i, "name"), "ovens")
    yield from _repeats(kitchen.people, lambda i: ("kitchen", "people", i), "people who cook")
    yield from _repeats((thing(t).name for t in kitchen.things), lambda i: ("kitchen", "things", i), "things by count")
    for n, factor in enumerate(brief.factors):
        if not factor.options:
            yield f"{quoted(factor.name)} has no options: give it two at least.", ("factors", n, "options")
        yield from _repeats(
            (o.name for o in factor.options),
            lambda i, n=n: ("factors", n, "options", i, "name"),  # type: ignore[misc]
            f"options of {factor.name}",
        )
        if sum(o.plain for o in factor.options) > 1:
            yield f"Two options of {quoted(factor.name)} are marked plain: one is as written.", ("factors", n, "options")
    if brief.base is not None:
        yield from _repeats((s.id for s in brief.base.method), lambda i: ("base", "method", i, "id"), "steps")


def _repeats(names: Iterable[str], path: Callable[[int], PathKey], of: str) -> Iterator[Found]:
    seen: dict[str, int] = {}
    for i, name in enumerate(names):
        if name.casefold() in seen:
            yield f"The name {quoted(name)} stands twice among the {of}: give each its own.", path(i)
        seen.setdefault(name.casefold(), i)


def unknown_names(brief: Brief) -> Iterator[Found]:
    """`when`, `never`, `pairs`, `visible` that name what isn't there."""
    known = {f.name: f for f in brief.factors}
    for n, factor in enumerate(brief.factors):
        for other, options in factor.when:
            path: PathKey = ("factors", n, "when", other)
            if other not in known:
                says = f"{quoted(other)} isn't a factor to hang on. {did_you_mean(other, list(known))}"
                yield says, path
            elif other == factor.name:
                yield f"{quoted(other)} hangs on itself: a circle.", path
            else:
                yield from ((unknown_option(known[other], o), path) for o in options if known[other].option(o) is None)
        if not isinstance(factor.visible, bool):
            for option in factor.visible:
                if factor.option(option) is None:
                    yield unknown_option(factor, option), ("factors", n, "visible")
    for n, line in enumerate(brief.never):
        for name, option in line:
            yield from _unknown_pair(known, name, option, ("never", n, name))
    for n, pair in enumerate(brief.pairs):
        for name, option in pair.options:
            yield from _unknown_pair(known, name, option, ("pairs", n))


def _unknown_pair(known: dict[str, Factor], name: str, option: str, path: PathKey) -> Iterator[Found]:
    if name not in known:
        yield f"{quoted(name)} isn't a factor. {did_you_mean(name, list(known))}", path
    elif known[name].option(option) is None:
        yield unknown_option(known[name], option), path


def circles(brief: Brief) -> list[Found]:
    """Factors that hang on each other."""
    hangs = {f.name: [o for o, _ in f.when] for f in brief.factors}
    for n, factor in enumerate(brief.factors):
        trail, seen = [factor.name], {factor.name}
        while trail:
            for other in hangs.get(trail.pop(), ()):
                if other == factor.name:
                    last = next(iter(factor.when))[0]
                    says = f"{quoted(factor.name)} and {quoted(last)} hang on each other through “when”: a circle."
                    return [(says, ("factors", n, "when"))]
                if other not in seen:
                    seen.add(other)
                    trail.append(other)
    return []


def edits_that_dont_fit(brief: Brief) -> list[Found]:
    """Edits that name an ingredient or a step which the base recipe doesn't hold."""
    found: list[Found] = []
    for n, factor in enumerate(brief.factors):
        for m, option in enumerate(factor.options):
            path: PathKey = ("factors", n, "options", m, "edits")
            if option.edits and brief.base is None:
                found.append((f"{quoted(option.name)} edits a base recipe, and the study has none: add base.", path))
                continue
            recipe = brief.base
            for e, edit in enumerate(option.edits):
                try:
                    recipe = apply(recipe, [edit], country=brief.kitchen.country)  # type: ignore[arg-type]
                except EditFault as fault:
                    found.append((fault.says, (*path, e)))
                except ValueError as error:
                    found.append((sentence_of(error), (*path, e)))
    return found


def sentence_of(error: ValueError) -> str:
    """The sentence inside a validation error raised while an edit was tried."""
    errors = getattr(error, "errors", None)
    if errors is None:
        return str(error)
    first = errors()[0]
    return str(first.get("ctx", {}).get("says") or first["msg"])


def collisions(brief: Brief, versions: tuple[Any, ...]) -> list[Found]:
    """Edits of two factors that touch one thing in a version that can be made."""
    if brief.base is None:
        return []
    touched = _touched(brief)
    together = {
        (a, v[a], b, v[b])
        for v in versions
        for a, b in combinations(v, 2)
        if (a, v[a]) in touched and (b, v[b]) in touched
    }
    order = {f.name: i for i, f in enumerate(brief.factors)}
    found: list[Found] = []
    for a, oa, b, ob in sorted(together, key=lambda t: (order[t[0]], order[t[2]], t[1], t[3])):
        clash = _clash(touched[a, oa], touched[b, ob])
        if clash is None:
            continue
        what, path = clash
        says = f"{a} ({oa}) and {b} ({ob}) both change {quoted(what)}: one ingredient or setting, one factor."
        found.append((says, path))
    return found


def _touched(brief: Brief) -> dict[tuple[str, str], list[tuple[tuple[str, str], PathKey]]]:
    out: dict[tuple[str, str], list[tuple[tuple[str, str], PathKey]]] = {}
    for n, factor in enumerate(brief.factors):
        for m, option in enumerate(factor.options):
            recipe = brief.base
            for e, edit in enumerate(option.edits):
                if isinstance(edit, TakeRecipe):
                    continue
                path: PathKey = ("factors", n, "options", m, "edits", e)
                try:
                    for target in targets(recipe, edit):  # type: ignore[arg-type]
                        out.setdefault((factor.name, option.name), []).append((target, path))
                    recipe = apply(recipe, [edit], country=brief.kitchen.country)  # type: ignore[arg-type]
                except (EditFault, ValueError):
                    continue
    return out


def _clash(
    first: list[tuple[tuple[str, str], PathKey]], second: list[tuple[tuple[str, str], PathKey]]
) -> tuple[str, PathKey] | None:
    for (kind_a, name_a), path_a in first:
        for (kind_b, name_b), path_b in second:
            same = kind_a == kind_b and name_a.casefold() == name_b.casefold()
            whole = {kind_a, kind_b} == {"step", "setting"} and name_a.split(".")[0] == name_b.split(".")[0]
            if same or whole:
                return name_a if kind_a == "setting" else name_b, max(path_a, path_b, key=str)
    return None


