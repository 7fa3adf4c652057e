"""The tables behind the report's charts, as plain values: every difference, every pair, every version."""

from __future__ import annotations

from proofpan.publish.phrases import PHRASES
from proofpan.study.verdict import AVERAGED, Answer, Interaction, Verdict, VersionRow
from proofpan.study.wording import say, say_counted
from proofpan.study.words import bar, capital, odds, on_scale, option_words, points, signed_range, times, version_words

Row = tuple[str, ...]
MOST_VERSIONS = 12
ANSWERS_HEADS = ("Held against each other", "Likely difference, in points", "Range (holds so often in 100)", "Must be", "Odds it is better", "Answer")
PAIR_HEADS = ("Option", "Where", "Score (range)")
FIGURES_HEADS = ("Version", "Score", "Made", "Odds it's the best to print")


def answer_rows(verdict: Verdict) -> tuple[Row, ...]:
    """One row a question: what was held against what, by how much, how sure, against which bar, and the answer."""
    return tuple(_answer_row(a, verdict.level, str(verdict.publish.version)) for a in verdict.answers)


def _answer_row(answer: Answer, level: float, published: str) -> Row:
    row = answer.row
    where = "" if row.at in ("", AVERAGED) else f", {PHRASES['in_the_version'] if row.at == published else row.at}"
    held = level if row.asks == "best" else 2 * level - 1       # one side asked at the level is two sides at twice the rest
    asked = {"best": row.worth, "worth it": row.price, "good enough": row.worth}[row.asks]
    must = {"best": PHRASES["must_differ"], "worth it": PHRASES["must_earn"], "good enough": PHRASES["may_lose"]}[row.asks]
    size = points(row.difference)
    if size != points(0.0):
        size = say("{size} better", size=size) if row.difference > 0 else say("{size} worse", size=size)
    held_against = say("{one} against {other}", one=capital(option_words(row.factor, row.option)), other=option_words(row.factor, row.against))
    return (f"{held_against}{where}", size,
            f"{signed_range(row.low, row.high, asked)} ({100 * held:.0f})", must.format(points=bar(asked, row.low, row.high)),
            odds(row.odds_better), say(answer.outcome))


def pair_rows(pair: Interaction) -> tuple[Row, ...]:
    """One row a corner of the crossing lines."""
    return tuple((capital(a), b, say("{score:.1f} ({low:.1f} to {high:.1f})", score=m, low=low, high=high)) for a, b, m, low, high in pair.points)


def likeliest(verdict: Verdict) -> list[VersionRow]:
    """The dozen likeliest to be the best to print, likeliest first."""
    return sorted((r for r in verdict.rows if not r.benchmark), key=lambda r: -(r.odds_publish or 0))[:MOST_VERSIONS]


def figure_rows(verdict: Verdict) -> tuple[Row, ...]:
    """One row a version of the likeliest, and one for what is left."""
    shown = likeliest(verdict)
    rows = [(capital(version_words(r.version)), on_scale(r.score, r.low, r.high, verdict.scale), times(r.cooked) if r.cooked else say("not yet"),
             odds(r.odds_publish or 0)) for r in shown]
    rest = sum(not r.benchmark for r in verdict.rows) - len(shown)
    if rest:
        left = max(0.0, 1 - sum(r.odds_publish or 0 for r in shown))
        rows.append((say_counted(rest, "The other one", "The other {number} together"), "", "", odds(left)))
    return tuple(rows)
