"""How we tested: the question, what was made, how it was tasted, what was found, what can't be told, and the editions."""

from __future__ import annotations

from dataclasses import dataclass

from markupsafe import Markup

from proofpan.study.study import Study
from proofpan.study.verdict import Verdict
from proofpan.study.words import capital, counted, joined, on_scale, option_words, times, version_words
from proofpan.web.pages.verdict.page import mark_of

TOP = 6


@dataclass(frozen=True)
class FoundLine:
    """One answer, its mark and picture."""

    mark: str
    do: str
    numbers: str
    chart: Markup


@dataclass(frozen=True)
class EditionLine:
    """One edition: number, date, what it is, and what changed."""

    number: int
    when: str
    title: str
    says: str
    waived: str
    seal: str
    href: str
    warning: str


@dataclass(frozen=True)
class TestedPage:
    """The page."""

    empty: bool
    headline: str
    under: str
    found: tuple[FoundLine, ...]
    made: tuple[str, ...]
    tasted: tuple[str, ...]
    cant_tell: tuple[str, ...]
    figures: tuple[tuple[str, str, str, str], ...]
    rest: str
    editions: tuple[EditionLine, ...]
    invented: bool
    verdict_href: str
    recipe_href: str
    ballots_href: str
    editions_href: str
    yaml_href: str
    files: tuple[tuple[str, str], ...]


def tested_page(
    study: Study,
    verdict: Verdict | None,
    study_id: str,
    charts: dict[str, Markup],
    editions: tuple[EditionLine, ...],
    files: tuple[tuple[str, str], ...],
) -> TestedPage:
    """The page of a study."""
    root = f"/study/{study_id}"
    hrefs = {
        "verdict_href": f"{root}/verdict",
        "recipe_href": f"{root}/recipe",
        "editions_href": f"{root}/editions",
        "ballots_href": f"{root}/ballots.csv",
        "yaml_href": f"{root}/study.yaml",
    }
    if verdict is None or not verdict.ballots:
        return TestedPage(
            empty=True,
            headline="Nothing is tested yet.",
            under="This page writes itself from what is cooked and tasted.",
            found=(),
            made=(),
            tasted=(),
            cant_tell=(),
            figures=(),
            rest="",
            editions=editions,
            invented=study.brief.invented,
            files=files,
            **hrefs,
        )
    settled = [a for a in verdict.answers if a.row.settled]
    unsettled = [a for a in verdict.answers if not a.row.settled]
    dish = study.brief.base.title if study.brief.base is not None else study.title
    tasters = {b.taster for b in study.ballot_records}
    cooked = [t for t in study.cooked if not t.failed]
    blind = "knowing what it was" if not study.brief.blind or any(t.blind is False for t in cooked) else "without knowing which was which"
    sure = "of nothing" if not settled else f"of {counted(len(settled), 'thing')}"
    rows = sorted(verdict.rows, key=lambda r: -(r.odds_publish or 0))
    rest = sum(r.odds_publish or 0 for r in rows[TOP:])
    return TestedPage(
        empty=False,
        headline=f"How we tested: {dish}",
        under=f"We made it {times(len(cooked))}, {counted(study.ways_made, 'way')}, and {counted(len(tasters), 'taster')} tasted {blind}. "
        f"We are sure {sure}; {len(unsettled)} we couldn’t tell.",
        found=tuple(
            FoundLine(mark_of(a.outcome), a.headline, f"{capital(a.outcome)}. {a.numbers}", charts.get(f"answer {i}", Markup("")))
            for i, a in enumerate(verdict.answers)
        ),
        made=_made(study),
        tasted=_tasted(study, len(tasters)),
        cant_tell=tuple(f"{a.headline} {a.numbers}" for a in unsettled) + verdict.cautions,
        figures=tuple(
            (
                capital(version_words(r.version)),
                on_scale(r.score, r.low, r.high, verdict.scale),
                times(r.cooked) if r.cooked else "never",
                "bought in" if r.odds_publish is None else f"{100 * r.odds_publish:.0f} in 100" if r.odds_publish >= 0.01 else "<1 in 100",
            )
            for r in rows[:TOP]
        ),
        rest=f"The other {len(rows) - TOP} together: {100 * rest:.0f} in 100." if len(rows) > TOP else "",
        editions=editions,
        invented=study.brief.invented,
        files=files,
        **hrefs,
    )


def _made(study: Study) -> tuple[str, ...]:
    varied = "; ".join(joined([option_words(f.name, o.name) for o in f.options], "or") for f in study.factors)
    out = [f"{capital(varied)}. That makes {counted(len(study.versions()), 'version')}."]
    failed = [t for t in study.cooked if t.failed]
    if failed:
        out.append(f"{counted(len(failed), 'trial')} failed ({joined(sorted({t.failed for t in failed}))}): counted, never averaged in.")
    out += [f"{a.what}{f', because {a.why}' if a.why else ''}." for a in study.amendments]
    return tuple(capital(x) for x in out)


def _tasted(study: Study, tasters: int) -> tuple[str, ...]:
    out = ["Every plate bore a three-digit code, other codes and another order for each taster."] if study.rounds else []
    out.append(f"We judged {joined([a.name for a in study.attributes])}; nobody saw a score before all had marked.")
    seen = [f.name for f in study.factors if any(f.is_visible(o.name) for o in f.options)]
    if seen:
        out.append(f"Codes can’t hide what shows: {joined(seen)}.")
    knowing = [t for t in study.cooked if t.blind is False]
    if knowing or not study.brief.blind:
        out.append(
            f"{counted(len(knowing), 'trial')} {'was' if len(knowing) == 1 else 'were'} tasted knowingly, not blind."
            if knowing
            else "It was tasted knowingly, not blind."
        )
    if tasters == 1:
        out.append("One palate: yours may differ.")
    return tuple(out)
