"""The verdict: what is settled, what isn't, what to publish today, what to cook next."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from markupsafe import Markup

from proofpan.steps.plan_cost import Costing
from proofpan.study.study import Study
from proofpan.study.verdict import NO_WORDS, YES_WORDS, Verdict, VersionRow
from proofpan.study.words import capital, counted, joined, odds, on_scale, version_words
from proofpan.web.pages.verdict.second import SecondPart

SHOWN = 12


@dataclass(frozen=True)
class AnswerLine:
    """One question of the brief with its answer."""

    question: str
    headline: str
    outcome: str
    mark: str
    do: str
    numbers: str
    more: str
    chart: Markup


@dataclass(frozen=True)
class VersionLine:
    """One version in the table."""

    words: str
    text: str
    score: str
    odds: str
    cooked: str
    outside: str
    visible: bool


@dataclass(frozen=True)
class PairLine:
    """Two factors that change each other's answer."""

    headline: str
    says: str
    chart: Markup


@dataclass(frozen=True)
class TasterLine:
    """How a taster's marks hold up."""

    taster: str
    note: str
    agreement: str
    repeatability: str


@dataclass(frozen=True)
class VerdictPage:
    """The verdict's page."""

    empty: bool
    headline: str
    under: str
    odds_says: tuple[str, ...]
    crackers: Markup
    answers: tuple[AnswerLine, ...]
    simplest: str
    simplest_says: str
    may_say: tuple[str, ...]
    dont_say: tuple[str, ...]
    speaks: str
    hands: tuple[str, ...]
    pairs: tuple[PairLine, ...]
    grid: Markup
    versions: tuple[VersionLine, ...]
    versions_count: int
    rest: str
    weights: tuple[str, ...]
    next_says: str
    upcoming: tuple[tuple[str, str, str], ...]
    upcoming_takes: str
    stop: bool
    limits: tuple[str, ...]
    tasters: tuple[TasterLine, ...]
    cautions: tuple[str, ...]
    tie: tuple[tuple[str, str], ...]
    tie_proposal: str
    tie_declined: str
    quick: bool
    action: str
    rounds_href: str
    recipe_href: str
    taste_href: str
    taste_words: str
    second: SecondPart


def mark_of(outcome: str) -> str:
    """The mark that stands before an outcome's word: b (yes), u (not settled) or nothing (no)."""
    return "b" if outcome in YES_WORDS else "" if outcome in NO_WORDS else "u"


def verdict_page(
    study: Study, verdict: Verdict, study_id: str, quick: bool, charts: dict[str, Markup], second: SecondPart, hands: tuple[str, ...] = (),
    why_not: Mapping[str, str] | None = None,
) -> VerdictPage:
    """The page of a verdict; why_not: {proposal: why it was declined}."""
    root = f"/study/{study_id}"
    none, unplanned = Markup(""), not study.rounds and not quick
    chosen = next((r for r in verdict.rows if r.version == verdict.publish.version), None)
    rows = sorted(verdict.rows, key=lambda r: -(r.odds_publish or 0.0))
    top = rows[:SHOWN]
    rest = sum(r.odds_publish or 0.0 for r in rows[SHOWN:])
    lines = tuple(_version_line(r, verdict.scale, i < 3) for i, r in enumerate(top))
    asked = {a.headline for a in verdict.answers}
    tie = tuple((str(r.version), capital(version_words(r.version))) for r in rows[:4] if r.odds_publish)
    tie_proposal = f"A tie-break between {tie[0][1]} and {tie[1][1]}" if len(tie) > 1 else ""
    return VerdictPage(
        empty=verdict.ballots == 0,
        headline=verdict.publish.headline or (verdict.says[0] if verdict.says else ""),
        under=next((s for s in verdict.says[1:2] if s not in asked), ""),
        odds_says=_odds(chosen, verdict),
        crackers=charts.get("crackers", none),
        answers=tuple(
            AnswerLine(
                a.question, a.headline, capital(a.outcome), mark_of(a.outcome), a.do, a.numbers, a.more, charts.get(f"answer {i}", none)
            )
            for i, a in enumerate(verdict.answers)
        ),
        simplest=capital(version_words(verdict.publish.simplest)),
        simplest_says=verdict.publish.simplest_says,
        may_say=verdict.publish.says,
        dont_say=verdict.publish.dont_say,
        speaks=next((s for s in verdict.says if s.startswith(("It speaks", "By your palate", "This speaks"))), ""),
        hands=hands,
        pairs=tuple(PairLine(p.headline, p.says, charts.get(f"pair {i}", none)) for i, p in enumerate(verdict.interactions)),
        grid=charts.get("versions", none),
        versions=lines,
        versions_count=len(verdict.rows),
        rest=f"The other {len(rows) - SHOWN} together: {odds(rest)}." if len(rows) > SHOWN else "",
        weights=verdict.weights,
        next_says=verdict.next.why,
        upcoming=_upcoming(verdict),
        upcoming_takes=_takes(study, verdict),
        stop=verdict.next.stop,
        tasters=tuple(TasterLine(t.taster, t.note, _figure(t.agreement), _figure(t.repeatability)) for t in verdict.taster_rows),
        cautions=verdict.cautions,
        limits=verdict.limits,
        tie=tie,
        tie_proposal=tie_proposal,
        tie_declined=(why_not or {}).get(tie_proposal, ""),
        quick=quick,
        action=root,
        rounds_href=f"{root}/{'codes' if quick else 'rounds'}",
        recipe_href=f"{root}/recipe",
        taste_href=f"{root}/{'rounds' if unplanned else 'alone' if quick and len(study.tasters) == 1 else 'tasting'}",
        taste_words="Plan a round" if unplanned else "Taste",
        second=second,
    )


def _upcoming(verdict: Verdict) -> tuple[tuple[str, str, str], ...]:
    """(version, why, the version as a file writes it) of the trials that would be cooked next."""
    upcoming = verdict.next.round
    return () if upcoming is None else tuple((capital(version_words(t.version)), t.why, str(t.version)) for t in upcoming.trials)


def _takes(study: Study, verdict: Verdict) -> str:
    """What the next round takes: plates, hours of hands, money."""
    upcoming = verdict.next.round
    if upcoming is None:
        return ""
    cost = Costing(study)
    takes = cost.of(len(upcoming.trials), len(study.tasters), study.plan.passes)
    said = [counted(takes.tastings, "plate to taste", "plates to taste")]
    if takes.hands_h is not None:
        said.append(f"up to {takes.hands_h:.1f} h of hands at the stove")
    if takes.money is not None:
        said.append(f"about {takes.money:.2f} {cost.currency}".strip())
    return f"{capital(counted(len(upcoming.trials), 'trial'))}: {joined(said)}."


def _odds(row: VersionRow | None, verdict: Verdict) -> tuple[str, ...]:
    if row is None or row.odds_publish is None:
        return ()
    return (
        f"Of all {len(verdict.rows)}, once extras are paid for:",
        f"{odds(row.odds_publish)} it is the best to print.",
        f"{odds(verdict.publish.within_worth)} it is within {verdict.worth:.2g} of the best.",
    )


def _version_line(row: VersionRow, scale: tuple[float, float], visible: bool) -> VersionLine:
    made = "never cooked" if not row.cooked else f"cooked {counted(row.cooked, 'time')}"
    failed = f", failed {counted(row.failed, 'time')}" if row.failed else ""
    return VersionLine(
        capital(version_words(row.version)),
        str(row.version),
        on_scale(row.score, row.low, row.high, scale),
        "bought in" if row.odds_publish is None else odds(row.odds_publish),
        made + failed,
        row.outside or "",
        visible,
    )


def _figure(value: float | None) -> str:
    return "not known yet" if value is None else f"{value:.1f}".replace("-", "−")
