"""Which versions a round may propose: not what breaks a limit of the brief, nor what nobody at the table may eat."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from proofpan.steps.limits import outside_of
from proofpan.steps.nolists import contents, holds
from proofpan.steps.observing import Cooked
from proofpan.study.study import Study
from proofpan.study.versions import Version, benchmark_of, current
from proofpan.study.words import capital, counted, joined, option_words, version_words


@dataclass(frozen=True, eq=False)
class Barred:
    """For each version what keeps it out, or none.

    Attributes:
        outside: the limit it breaks.
        uneaten: what nobody at the table may eat of it.
        reference: it breaks a limit, and is what a substitute inside the limits is judged against, or was bought to measure against.
    """

    outside: tuple[str | None, ...]
    uneaten: tuple[str | None, ...]
    reference: tuple[bool, ...]

    @property
    def may_be_cooked(self) -> NDArray[np.bool_]:
        """Which versions a round may propose."""
        return np.array([u is None and (o is None or r) for o, u, r in zip(self.outside, self.uneaten, self.reference, strict=True)], dtype=bool)

    @property
    def may_be_published(self) -> NDArray[np.bool_]:
        """Which versions keep to the limits."""
        return np.array([o is None for o in self.outside], dtype=bool)


def barred_of(study: Study, cooked: Cooked, outside: tuple[str | None, ...] | None = None) -> Barred:
    """What keeps each version out of a round; `outside` where it is known already."""
    outside = outside_of(study, cooked) if outside is None else outside
    return Barred(outside, _uneaten(study, cooked), _references(study, cooked, outside))


def _uneaten(study: Study, cooked: Cooked) -> tuple[str | None, ...]:
    here = [t for t in study.brief.tasters if t.left is None]
    if not here or not all(t.no for t in here):
        return tuple(None for _ in cooked.versions)
    out: list[str | None] = []
    for version in cooked.versions[: cooked.candidates]:
        words = contents(study, current(study.brief, version))
        hits = [next((no for no in t.no if holds(words, no)), None) for t in here]
        out.append(None if None in hits else joined(dict.fromkeys(str(h) for h in hits)))
    return (*out, *(None for _ in cooked.versions[cooked.candidates :]))


def _references(study: Study, cooked: Cooked, outside: Sequence[str | None]) -> tuple[bool, ...]:
    brief = study.brief
    swapped = {f.name: f.plain.name for f in brief.factors if any(f.asks_of(o.name) == "good enough" for o in f.kept if o.name != f.plain.name)}

    def besides(version: Version) -> tuple[tuple[str, str], ...]:
        return tuple((f, o) for f, o in version.items() if f not in swapped)

    inside = {besides(v) for v, o in zip(cooked.versions, outside, strict=True) if o is None}
    return tuple(
        o is not None and (benchmark_of(brief, v) or bool(swapped) and all(v.get(f, plain) == plain for f, plain in swapped.items())
                           and besides(v) in inside)
        for v, o in zip(cooked.versions, outside, strict=True)
    )


def nothing_to_propose(study: Study, cooked: Cooked, barred: Barred) -> str:
    """Why no round can be proposed and what would be right; "" where one can."""
    there = range(cooked.candidates)
    may, printed = barred.may_be_cooked, barred.may_be_published & cooked.eligible
    if any(may[i] for i in there) and (not cooked.eligible.any() or any(printed[i] and may[i] for i in there)):
        return ""
    limit = next((o for i in there if (o := barred.outside[i]) is not None), None)
    eaten = next((u for i in there if (u := barred.uneaten[i]) is not None), None)
    if limit is None:
        return f"Nobody at this table may eat any version: each holds what they don't eat ({eaten}). Ask another taster, then a round can be proposed."
    ease = "ease that limit, or let something vary that keeps to it"
    if eaten is None:
        return f"Every version breaks a limit of the brief ({limit}), so none is proposed: {ease}."
    return (f"Every version breaks a limit of the brief ({limit}) or holds what nobody here may eat ({eaten}), so none is proposed: {ease}, or ask "
            "another taster.")


def barred_words(study: Study, cooked: Cooked, barred: Barred) -> list[str]:
    """What isn't proposed and why; what is cooked though it can't be printed; a sentence where nothing is left to choose."""
    there = range(cooked.candidates)
    shown = [current(study.brief, cooked.versions[i]) for i in there]
    may = barred.may_be_cooked
    why = {i: _why(barred, i) for i in there if not may[i]}
    out, explained = [], set[int]()
    for factor in study.factors:
        for option in factor.kept:
            with_it = [i for i in there if shown[i].get(factor.name) == option.name]
            if with_it and all(i in why for i in with_it) and len(with_it) < len(shown):
                explained.update(with_it)
                out.append(f"Nothing with {option_words(factor.name, option.name)} is proposed: {why[with_it[0]]}.")
    rest = [i for i in why if i not in explained]
    if rest:
        which = f"{capital(version_words(shown[rest[0]]))} isn't proposed" if len(rest) == 1 else (
            f"{counted(len(rest), 'version')} aren't proposed, {version_words(shown[rest[0]])} among them")
        out.append(f"{which}: {why[rest[0]]}.")
    for factor in study.factors:
        beside = [i for i in there if barred.reference[i] and may[i] and shown[i].get(factor.name) == factor.plain.name
                  and any(factor.asks_of(o.name) == "good enough" for o in factor.kept if o.name != factor.plain.name)]
        if beside:
            out.append(f"{capital(option_words(factor.name, factor.plain.name))} is cooked only to judge what stands in for it: it breaks a limit "
                       f"({barred.outside[beside[0]]}) and isn't printed.")
    printable = [i for i in there if may[i] and barred.outside[i] is None and cooked.eligible[i]]
    if out and len(printable) == 1 and not any(barred.reference[i] and may[i] for i in there):
        out.append(f"Only {version_words(shown[printable[0]])} is left, so this round can't choose: cook it to see that it works, or change the brief.")
    return out


def _why(barred: Barred, version: int) -> str:
    outside, uneaten = barred.outside[version], barred.uneaten[version]
    if uneaten is not None:
        return f"nobody at this table may eat it ({uneaten}), so ask another taster if it is to be judged"
    return f"it breaks a limit of the brief ({outside})"
