"""For the one who presents: a sheet to speak from, and charts as pictures for a screen. The reveal stays sealed till ballots close."""

from __future__ import annotations

from datetime import date

from proofpan.publish import charts
from proofpan.publish.card import draft_mark
from proofpan.publish.typesetting import pdf, png
from proofpan.study.edition import Edition
from proofpan.study.study import Study
from proofpan.study.verdict import NO_WORDS, Answer, Interaction, Verdict
from proofpan.study.wording import say
from proofpan.study.words import capital, counted, times, version_words

SIZES = ((1920, 1080), (1080, 1920))
TALL_CHART = 300.0     # drawn narrower, so that its words are large on a phone held upright
SEALED = "Sealed until every ballot is in."


def spoken_odds(value: float) -> str:
    """Odds as one says them: `about 8 in 10`; never certain.

    Parameters: value, a probability of 0 to 1.
    """
    tens = round(10 * value)
    if tens >= 10:
        return say("more than 9 in 10")
    return say("fewer than 1 in 10") if tens < 1 else say("about {tens} in 10", tens=tens)


def spoken_points(value: float) -> str:
    """A score to the half point as one says it: `about 7½`. Parameters: value, in points of the scale."""
    halves = round(2 * value)
    return say("about {points}", points=f"{halves // 2 or ''}½" if halves % 2 else halves // 2)


def presenter_sheet_pdf(
    study: Study, verdict: Verdict, closed: bool, *, paper: str = "a4", edition: Edition | None = None, on: date | None = None
) -> bytes:
    """Question, surprise, verdict in the order of the story, with what to show when and the words that the verdict allows.

    Parameters: closed, whether every ballot is in; until then the sheet holds no result and no version; edition and on, as
    the card's: before its approval and embargo the sheet says that it is a draft.
    """
    cooked = [t for t in study.cooked if not t.failed]
    tasters = len({b.taster for b in study.ballot_records})
    done = [say("We made it {times}, in {ways}.", times=times(len(cooked)), ways=counted(study.ways_made, "way"))] if cooked else []
    done += [say("{people} tasted, by code.", people=capital(counted(tasters, "person", "people")))] if tasters and closed else []
    story = [
        {"name": say("The question"), "says": [study.question, *done], "show": say("The plates under their codes; no version is named.")},
        {"name": say("The surprise"), "says": _surprise(verdict) if closed else [say(SEALED)], "show": say("The chart of this answer.") if closed else ""},
        {"name": say("The verdict"), "says": _verdict(verdict) if closed else [say(SEALED)],
         "show": say("The finished dish, then the reveal.") if closed else say("Nothing: the reveal stays folded.")},
    ]
    allowed = list(verdict.publish.says) if closed else []
    return pdf("presenter", {
        "title": say("To present: {title}", title=study.title), "paper": paper, "story": story, "allowed": allowed, "closed": closed,
        "forbidden": list(verdict.publish.dont_say) if closed else [], "cautions": list(verdict.cautions) if closed else [],
        "invented": say("Kitchen, people and numbers are invented: say so.") if study.brief.invented else "",
        "draft": draft_mark(edition, on), "disclosure": study.brief.disclosure or "", "foot": study.title,
    })


def _surprise(verdict: Verdict) -> list[str]:
    """What one wouldn't have guessed: a pair that changes each other's answer, else a no, else that nothing is settled."""
    if verdict.interactions:
        return [f"{verdict.interactions[0].headline}."]
    no = next((a for a in verdict.answers if a.outcome in NO_WORDS), None)
    if no is not None:
        return [no.headline if no.headline.endswith("?") else f"{no.headline}.", f"{capital(say(no.outcome))}."]
    settled = any(a.row.settled for a in verdict.answers)
    return [say("Nothing surprised us enough to say so.") if settled else say("Nothing is settled yet: that is the story.")]


def _verdict(verdict: Verdict) -> list[str]:
    row = next((r for r in verdict.rows if r.version == verdict.publish.version), None)
    said = [say("We would print: {version}.", version=version_words(verdict.publish.version))]
    if row is not None:
        said.append(say("It scores {points} of {top:g}. The odds that nothing beats it by enough to notice: {odds}.", points=spoken_points(row.score),
                        top=verdict.scale[1], odds=spoken_odds(row.odds_within_worth or 0)))
    return said


def conclusion(answer: Answer) -> str:
    """What a chart shows: the answer, or that there is none yet and which way it leans."""
    return answer.headline if answer.row.settled else f"{answer.headline} {say('Not settled.')} {answer.lean}".strip()


def chart_image_png(verdict: Verdict, size: tuple[int, int] = (1920, 1080), *, answer: int | None = None, pair: int | None = None, note: str = "") -> bytes:
    """The most telling chart as a picture for a screen; its conclusion is the title.

    Parameters: size in pixels, (1920, 1080) or (1080, 1920); answer, which of the verdict's answers, or pair, which of
    its pairs, else the first pair or answer; note, a small
    line at the foot ("Larkspur Lane is invented").

    Raises: ValueError when there is nothing to draw or the size is another.
    """
    if size not in SIZES:
        raise ValueError(f"A chart is 1920×1080 or 1080×1920 pixels, not {size[0]}×{size[1]}.")
    what: Answer | Interaction | None = None
    if answer is not None:
        what = verdict.answers[answer]
    elif pair is not None:
        what = verdict.interactions[pair]
    else:
        what = next((p for p in verdict.interactions if p.points), None) or next(iter(verdict.answers), None)
    if what is None:
        raise ValueError("Nothing is tasted yet, so there is no chart.")
    width = charts.NARROW if size[0] > size[1] else TALL_CHART
    if isinstance(what, Interaction):
        drawn, below, title = charts.interaction(what, width=width), what.says, what.headline
    else:
        drawn, below, title = charts.difference(what, width=width), what.numbers, conclusion(what)
    data = {"title": title, "below": below, "note": note, "width": size[0], "height": size[1]}
    return png("chart", data, {"chart.svg": drawn}, ppi=72)
