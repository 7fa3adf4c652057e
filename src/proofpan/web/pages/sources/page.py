"""Sources: what was read elsewhere, in our measures, beside what we intend."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from markupsafe import Markup

from proofpan.study.brief import Claim
from proofpan.web.pages.sources.bars import bars


@dataclass(frozen=True)
class ClaimLine:
    """One source and its check; `state` is far, agrees or unread."""

    words: str
    source: str
    ours: str
    state: str
    headline: str
    multiple: str
    meant: str
    planned: str
    usual: str
    steps: tuple[str, ...]
    says: tuple[str, ...]
    answered: str
    picture: Markup
    as_meant: str = ""  # what was written, at the source's strength: "11 g malt syrup per 250 g flour"
    proposal: str = ""  # to write it so
    declined: str = ""  # why not


@dataclass(frozen=True)
class SourcesPage:
    """The page of sources."""

    headline: str
    under: str
    claims: tuple[ClaimLine, ...]
    action: str
    rounds_href: str
    not_that_href: str


def sources_page(checked: Sequence[tuple[Claim, Any]], study_id: str, why_not: Mapping[str, str]) -> SourcesPage:
    """The page of a study's checked claims, those that are far out first, what stands all the same behind them.

    Parameters: why_not, {proposal: why it was declined}.
    """
    found = [_line(c, r, f"hatch{i}") for i, (c, r) in enumerate(checked)]
    found = [replace(x, proposal=f"{x.as_meant}, as the source means", declined=why_not.get(f"{x.as_meant}, as the source means", ""))
             if x.as_meant else x for x in found]
    lines = sorted(found, key=lambda x: (("far", "unread", "agrees").index(x.state), bool(x.declined)))
    far = [x for x in lines if x.state == "far"]
    open_ = [x for x in far if not x.declined]
    if not lines:
        headline, under = (
            "No sources yet. Check what you read before you cook it.",
            "An amount from another country or another century is easily several times out.",
        )
    elif open_:
        headline, under = open_[0].headline, " ".join(open_[0].says)
    elif far:
        headline, under = "What you intend differs from what you read, and stands.", ""
    else:
        headline, under = "What you read and what you intend agree.", ""
    root = f"/study/{study_id}"
    return SourcesPage(headline, under, tuple(lines), f"{root}/sources", f"{root}/rounds", f"{root}/not-that")


def _line(claim: Claim, result: Any, name: str) -> ClaimLine:
    source = ", ".join(w for w in (claim.source, claim.country) if w)
    if isinstance(result, Exception):
        return ClaimLine(claim.words, source, claim.ours or "", "unread", str(result), "", "", "", "", (), (), claim.answered or "", Markup())
    state = "agrees" if result.agrees else "far"
    says = (result.says,) if isinstance(result.says, str) and result.says else tuple(result.says or ())
    usual = "" if result.usual is None else next((s for s in map(str, result.steps) if s.startswith("Usual,")), "")
    multiple = f"{result.multiple:.2g} times as much ({result.low:.2g} to {result.high:.2g})."
    sentences = re.split(r"(?<=[.?]) (?=[A-Z])", says[0]) if says else []
    head = " ".join(sentences[:2]) if state == "far" and sentences else "Agrees."
    says = tuple(sentences[2:])
    return ClaimLine(
        claim.words,
        source,
        claim.ours or "",
        state,
        head,
        multiple,
        str(result.meant),
        str(result.planned),
        usual,
        tuple(str(s) for s in result.steps if str(s) != usual),
        says,
        claim.answered or "",
        bars(result.multiple, result.low, result.high, _bare(result.meant), _bare(result.planned), name) if state == "far" else Markup(),
        _as_meant(claim.ours or "", result.multiple) if state == "far" else "",
    )


def _as_meant(ours: str, multiple: float) -> str:
    """What was written with its first number brought to the source's strength, in two figures; empty where it begins with none."""
    found = re.match(r"(\d+(?:[.,]\d+)?)(?=\s*[^\W\d_])", ours)
    if found is None or not multiple > 0:
        return ""
    value = float(f"{float(found[1].replace(',', '.')) / multiple:.2g}")
    return f"{value:g}{ours[found.end() :]}"


def _bare(text: str) -> str:
    """The amount without its interval: `4.56 g per 100 g (4.34 to 4.79)`."""
    return str(text).split(" (")[0]
