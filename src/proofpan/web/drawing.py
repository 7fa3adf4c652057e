"""The documents' pictures in a page: the same drawings, without the inline style that a page's policy forbids."""

from __future__ import annotations

import re

from markupsafe import Markup

from proofpan.publish import charts
from proofpan.study.study import Study
from proofpan.study.verdict import Verdict

_SIZED = re.compile(r' width="100%" style="max-width:([\d.]+)px"')
GRID_WIDE = 760.0
BESIDE_WORDS = 300.0     # drawn at the size it is shown, so that its words are as large as the page's labels


def in_page(svg: str) -> Markup:
    """A drawing for a page: its width stands in an attribute, its look in base.css under `.chart`."""
    return Markup(_SIZED.sub(r' class="chart" width="\1"', svg))


def both(wide: str, narrow: str) -> Markup:
    """A drawing for a wide page and one drawn anew for a phone, where the wide one's words would shrink; the style shows one of them."""
    return Markup('<div class="on-wide">{}</div><div class="on-phone">{}</div>').format(in_page(wide), in_page(narrow))


def verdict_charts(verdict: Verdict, study: Study | None = None) -> dict[str, Markup]:
    """Every picture of a verdict by its place; with the study, all versions in their places too."""
    out = {f"answer {i}": in_page(charts.difference(a, name=f"h{i}", width=BESIDE_WORDS)) for i, a in enumerate(verdict.answers)}
    out |= {
        f"pair {i}": both(charts.interaction(p, width=560), charts.interaction(p, width=charts.NARROW))
        for i, p in enumerate(verdict.interactions)
        if p.points
    }
    row = next((r for r in verdict.rows if r.version == verdict.publish.version), None)
    if row is not None and row.odds_publish is not None:
        out["crackers"] = in_page(charts.hundred(row.odds_publish, verdict.publish.within_worth))
    if study is not None and len(verdict.rows) > 1 and not any(f.when for f in study.factors):
        factors = [(f.name, [o.name for o in f.options]) for f in study.factors]
        load = next((f.name for f in study.factors if f.changed == "load"), "")
        wide, narrow = (charts.versions_grid(verdict.rows, factors, trays=load, width=w) for w in (GRID_WIDE, charts.NARROW))
        out["versions"] = both(wide, narrow)
    return out
