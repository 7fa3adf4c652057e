"""How we tested: one self-contained page for readers, and the same as PDF."""

from __future__ import annotations

import base64
import csv
import io
from collections.abc import Sequence
from datetime import date
from html import escape

from proofpan.publish import charts
from proofpan.publish.card import draft_mark
from proofpan.publish.page import whole_page
from proofpan.publish.phrases import PHRASES
from proofpan.publish.report_tables import ANSWERS_HEADS, FIGURES_HEADS, PAIR_HEADS, answer_rows, figure_rows, likeliest, pair_rows
from proofpan.study.crosstest import CrossTest
from proofpan.study.edition import Edition
from proofpan.study.reader_recipe import ReaderRecipe, RecipeLine
from proofpan.study.study import Study
from proofpan.study.verdict import NOT_SETTLED, Answer, Interaction, Verdict
from proofpan.study.wording import say, say_counted, spoken
from proofpan.study.words import capital, counted, joined, option_words, times, version_words


def how_we_tested_html(
    study: Study, verdict: Verdict, *, recipe: ReaderRecipe | None = None, edition: Edition | None = None, cross_test: CrossTest | None = None,
    generated: date | None = None, second: Sequence[str] = (), on: date | None = None, pictures: bytes | None = None,
) -> str:
    """The reader's page as one file: styles, fonts, charts and data inside.

    Parameters: recipe, the worked recipe of the version to publish; edition, where one is published; generated, its date; second,
    what a second, plainer analysis of the same marks says, in sentences; pictures, the labelled sheet of all photographs as PNG.
    """
    sections = _sections(study, verdict, recipe, cross_test, second, pictures)
    body = "".join(f'<section aria-labelledby="s{i}"><h2 id="s{i}">{escape(name)}</h2><div>{inner}</div></section>'
                   for i, (name, inner) in enumerate(sections) if inner)
    title = report_title(study)
    foot = _foot(study, edition, generated)
    kitchen = "Larkspur Lane" if study.brief.invented else "proofpan"
    foot = (f'<footer>{escape(foot)} <a download="{escape(_slug(study.title))}.csv" href="data:text/csv;base64,{_csv(study)}">'
            f"{PHRASES['data']}</a></footer>")
    return whole_page(title, kitchen, f'{_draft(edition, on)}<h1>{escape(title)}</h1><p class="lead">{escape(lead(study, verdict))}</p>{body}{foot}')


def _draft(edition: Edition | None, on: date | None) -> str:
    mark = draft_mark(edition, on)
    return f'<p class="careful"><b>{escape(mark)}</b></p>' if mark else ""


def report_title(study: Study) -> str:
    """What the page is called."""
    return PHRASES["how_we_tested"].format(dish=f"{study.title[0].lower()}{study.title[1:]}")


def _slug(title: str) -> str:
    return "-".join("".join(c if c.isalnum() else " " for c in title.casefold()).split()) or "study"


def lead(study: Study, verdict: Verdict) -> str:
    """The paragraph a reader trusts: how often, how many ways, who tasted, what came of it."""
    cooked = [t for t in study.cooked if not t.failed]
    tasters = len({b.taster for b in study.ballot_records})
    sure = sum(a.outcome != NOT_SETTLED for a in verdict.answers)
    open_ = len(verdict.answers) - sure
    blind = study.brief.blind and not any(t.blind is False for t in cooked)
    how = say("without knowing which it was") if blind else say("knowing what it was")
    first = say("We made it {times}, in {ways}, and {who} tasted each {how}.", times=times(len(cooked)), ways=counted(study.ways_made, "way"),
                who=say_counted(tasters, "one of us", "{number} of us"), how=how)
    if not verdict.answers:
        return first
    found = say_counted(sure, "{number} answer is settled", "{number} answers are settled") if sure else say("Nothing is settled")
    left = say_counted(open_, "{number} question is still open", "{number} questions are still open")
    return f"{first} {found}; {left}." if open_ else f"{first} {found}."


def _sections(
    study: Study, verdict: Verdict, recipe: ReaderRecipe | None, cross_test: CrossTest | None, second: Sequence[str], pictures: bytes | None,
) -> list[tuple[str, str]]:
    return [
        (PHRASES["make"], _make(verdict, recipe)),
        (PHRASES["found"], "".join(_found(a, i) for i, a in enumerate(verdict.answers))),
        (PHRASES["together"], "".join(_together(p, i) for i, p in enumerate(verdict.interactions))),
        (PHRASES["baked"], _cooked(study, verdict)),
        (PHRASES["looked"], _looked(study, pictures)),
        (PHRASES["tasted"], _tasted(study, verdict)),
        (PHRASES["cant"], _cant(study, verdict)),
        (PHRASES["limits"], "".join(f"<p>{escape(s)}</p>" for s in verdict.limits)),
        (PHRASES["kitchens"], "".join(f"<p>{escape(s)}</p>" for s in _kitchens(verdict, cross_test))),
        (PHRASES["second"], "".join(f"<p>{escape(s)}</p>" for s in second)),
        (PHRASES["figures"], _figures(verdict)),
        (PHRASES["method"], f"<p>{escape(PHRASES['method_text'])}</p>"),
    ]


def _make(verdict: Verdict, recipe: ReaderRecipe | None) -> str:
    row = next((r for r in verdict.rows if r.version == verdict.publish.version), None)
    said = "".join(f"<li>“{escape(s)}”</li>" for s in verdict.publish.says)
    picture = charts.hundred(row.odds_publish or 0, verdict.publish.within_worth) if row is not None else ""
    lines = "".join(f"<li>{escape(x.text)}{_status(x)}</li>" for x in recipe.lines) if recipe is not None else ""
    take = f"<details><summary>{PHRASES['take']}</summary><ul>{lines}</ul></details>" if lines else ""
    return (f'<p class="big">{escape(capital(version_words(verdict.publish.version)))}.</p><p>{escape(verdict.publish.because)}</p>'
            f'{_titled(picture, charts.hundred_title(row.odds_publish or 0, verdict.publish.within_worth)) if row is not None else ""}'
            f'<ul class="said">{said}</ul>{take}')


def _status(line: RecipeLine) -> str:
    """Where a line's figure comes from, unless it was simply cooked."""
    said = _where_from(line)
    return f'<small class="soft">{escape(said)}</small>' if said else ""


def _where_from(line: RecipeLine) -> str:
    said = PHRASES.get(line.status, "")
    return f" ({said})" if said else ""


def _titled(picture: str, title: str) -> str:
    """A picture under the sentence that it shows."""
    return f'<figure><figcaption class="shows">{escape(title)}</figcaption>{picture}</figure>'


def _both(wide: str, narrow: str) -> str:
    """A picture for a page and one for a phone; the style shows one of them."""
    return f'<div class="on-page">{wide}</div><div class="on-phone">{narrow}</div>'


def _found(answer: Answer, number: int) -> str:
    picture = _both(charts.difference(answer, name=f"h{number}"), charts.difference(answer, name=f"n{number}", width=charts.NARROW))
    return (f'<div class="row"><div><p class="head">{charts.mark(answer.outcome)} <b>{escape(answer.headline)}</b></p>'
            f'<p class="soft">{escape(_said(answer))}</p></div>'
            f'<figure>{picture}<figcaption><a href="#answers">{PHRASES["in_figures"]}</a></figcaption></figure></div>')


def _said(answer: Answer) -> str:
    """The answer's figures in words; its outcome before them where neither headline nor figures say it."""
    said = f"{answer.numbers} {answer.more}".strip()
    outcome = say(answer.outcome)
    named = outcome.casefold() in f"{answer.headline} {said}".casefold()
    return said if named else f"{capital(outcome)}. {said}"


def _together(pair: Interaction, number: int) -> str:
    made = _table(pair.headline, PAIR_HEADS, pair_rows(pair), f"pair-{number}") if pair.points else ""
    table = f'<details><summary>{PHRASES["as_table"]}</summary>{made}</details>' if made else ""
    picture = _both(charts.interaction(pair), charts.interaction(pair, width=charts.NARROW))
    return f"<h3>{escape(pair.headline)}</h3><p>{escape(pair.says)}</p><figure>{picture}</figure>{table}"


def _cooked(study: Study, verdict: Verdict) -> str:
    options = "; ".join(f"{f.name}: {joined((option_words(f.name, o.name) for o in f.options), 'or')}" for f in study.factors)
    good = [t for t in study.cooked if not t.failed]
    failed = [t for t in study.cooked if t.failed]
    loads = len({(t.round, t.load) for t in good})
    out = [say("{options}. That makes {versions}. We made {trials} in {loads} over {rounds}, and worked out the rest from those.",
               options=capital(options), versions=counted(len(verdict.rows), "version"), trials=counted(len(good), "trial"),
               loads=counted(loads, "load"), rounds=counted(len({t.round for t in good}), "round"))]
    if failed:
        out.append(say("{trials} failed ({why}): counted, never averaged in.", trials=capital(counted(len(failed), "trial")),
                       why=joined(t.failed for t in failed)))
    lots = sorted({t.lot for t in good if t.lot})
    if lots:
        out.append(say("Lots: {lots}.", lots=joined(lots)))
    for a in study.amendments:
        what = f"{a.what} ({a.why})" if a.why else a.what
        out.append(say("Changed {day}: {what}.", day=spoken().day_and_month(a.on), what=what) if a.on is not None else say("Changed {what}.", what=what))
    return "".join(f"<p>{escape(s)}</p>" for s in out)


def _looked(study: Study, pictures: bytes | None) -> str:
    if pictures is None:
        return ""
    data = base64.b64encode(pictures).decode()
    return (f'<figure><img class="looked" alt="{escape(PHRASES["looked_alt"].format(title=study.title))}" src="data:image/png;base64,{data}">'
            f'<figcaption class="soft">{escape(PHRASES["looked_note"])}</figcaption></figure>')


def _tasted(study: Study, verdict: Verdict) -> str:
    judged = joined(a.name for a in study.attributes)
    out = [say("Each plate had a three-digit code and each taster an order of their own. We marked {judged}.", judged=judged)]
    out += [_palates(study, verdict)] if study.ballot_records else []
    out += verdict.not_blind
    return "".join(f"<p>{escape(s)}</p>" for s in out)


def _palates(study: Study, verdict: Verdict) -> str:
    """Whose palates these are, in a reader's words."""
    tasters = len({b.taster for b in study.ballot_records})
    if verdict.publish.speaks_for == "readers":
        return PHRASES["all_readers"]
    return PHRASES["one_palate"] if tasters == 1 else PHRASES["palates"].format(tasters=tasters)


def _cant(study: Study, verdict: Verdict) -> str:
    open_ = [f"{a.headline if a.headline.endswith('?') else capital(a.question)} {a.lean}".strip()
             for a in verdict.answers if a.outcome == NOT_SETTLED]
    rest = [c for c in verdict.cautions if c not in verdict.not_blind and c not in verdict.other_kitchens]
    return "".join(f"<p>{escape(s)}</p>" for s in (*open_, *rest))


def _kitchens(verdict: Verdict, cross_test: CrossTest | None) -> list[str]:
    """What other kitchens reported, and what of it stands in the figures."""
    return [*(cross_test.says if cross_test is not None else ()), *verdict.other_kitchens]


def _figures(verdict: Verdict) -> str:
    shown = likeliest(verdict)
    picture = _both(charts.score_lines(verdict.rows), charts.score_lines(verdict.rows, width=charts.NARROW)) if shown else ""
    answers = _table(PHRASES["answers_table"], ANSWERS_HEADS, answer_rows(verdict), "answers") if verdict.answers else ""
    title = charts.score_title(verdict.rows) if shown else ""
    ranges = say("Ranges hold {level:.0%} of the time. Odds are after extras have paid their price.", level=verdict.level)
    return (f"{_titled(picture, title) if shown else ''}{_table(PHRASES['figures_table'], FIGURES_HEADS, figure_rows(verdict), 'scores')}"
            f"<p class=\"soft\">{escape(ranges)}</p>{answers}")


def _table(name: str, heads: Sequence[str], rows: Sequence[Sequence[str]], anchor: str) -> str:
    """A table that scrolls by itself where the page is narrow; its first cells are its rows' names."""
    head = "".join(f'<th scope="col">{escape(say(h))}</th>' for h in heads)
    body = "".join(f'<tr><th scope="row">{escape(r[0])}</th>' + "".join(f"<td>{escape(c)}</td>" for c in r[1:]) + "</tr>" for r in rows)
    return (f'<div class="scroll" id="{anchor}" tabindex="0" role="group" aria-label="{escape(name)}"><table><caption>{escape(name)}</caption>'
            f"<thead><tr>{head}</tr></thead><tbody>{body}</tbody></table></div>")


def _foot(study: Study, edition: Edition | None, generated: date | None) -> str:
    out = [say("Larkspur Lane is an invented kitchen, and all of its numbers are invented.")] if study.brief.invented else []
    out += [study.brief.disclosure] if study.brief.disclosure else []
    out += [say("Edition {number}.", number=edition.number)] if edition is not None else []
    out += [f"{spoken().date(generated)}."] if generated is not None else []
    return " ".join([*out, say("Made with proofpan.")])


def _csv(study: Study) -> str:
    """Every ballot with its version, as base64 of a CSV; no words or contacts of tasters."""
    number = {t: f"taster {i}" for i, t in enumerate(dict.fromkeys(b.taster for b in study.ballot_records), 1)}
    version = {t.key: str(t.version) for t in study.trial_records}
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(["round", "trial", "version", "taster", "attribute", "pass", "score"])
    for b in study.ballot_records:
        writer.writerow([b.round, b.trial, version[b.round, b.trial], number[b.taster], b.attribute, b.pass_, b.score])
    return base64.b64encode(out.getvalue().encode()).decode()


def how_we_tested_pdf(
    study: Study, verdict: Verdict, *, recipe: ReaderRecipe | None = None, edition: Edition | None = None, cross_test: CrossTest | None = None,
    generated: date | None = None, second: Sequence[str] = (), paper: str = "a4", on: date | None = None, pictures: bytes | None = None,
) -> bytes:
    """The same as PDF. Parameters: as the page's; paper, "a4" or "us-letter"."""
    from proofpan.publish.sheets import photograph_in_svg
    from proofpan.publish.typesetting import pdf

    row = next((r for r in verdict.rows if r.version == verdict.publish.version), None)
    data = {
        "title": report_title(study), "lead": lead(study, verdict), "paper": paper,
        "kitchen": "Larkspur Lane" if study.brief.invented else "proofpan", "make": capital(version_words(verdict.publish.version)) + ".",
        "because": verdict.publish.because, "says": list(verdict.publish.says),
        "answers": [{"headline": a.headline, "said": _said(a), "chart": f"answer-{i}.svg"}
                    for i, a in enumerate(verdict.answers)],
        "pairs": [{"headline": p.headline, "says": p.says, "chart": f"pair-{i}.svg" if p.points else "", "rows": [list(r) for r in pair_rows(p)]}
                  for i, p in enumerate(verdict.interactions)],
        "cooked": _plain(_cooked(study, verdict)), "tasted": _plain(_tasted(study, verdict)), "cant": _plain(_cant(study, verdict)),
        "second": list(second), "kitchens": _kitchens(verdict, cross_test), "method": PHRASES["method_text"],
        "rows": [list(r) for r in figure_rows(verdict)], "row_heads": list(map(say, FIGURES_HEADS)), "pair_heads": list(map(say, PAIR_HEADS)),
        "answer_rows": [list(r) for r in answer_rows(verdict)], "answer_heads": list(map(say, ANSWERS_HEADS)), "answers_table": PHRASES["answers_table"],
        "scores_title": charts.score_title(verdict.rows) if likeliest(verdict) else "", "hundred": "hundred.svg" if row is not None else "",
        "hundred_title": charts.hundred_title(row.odds_publish or 0, verdict.publish.within_worth) if row is not None else "",
        "take_word": PHRASES["take"], "take": [f"{x.text}{_where_from(x)}" for x in recipe.lines] if recipe is not None else [],
        "scores": "scores.svg" if likeliest(verdict) else "",
        "foot": _foot(study, edition, generated), "draft": draft_mark(edition, on), "limits": list(verdict.limits),
        "looked": "" if pictures is None else "looked.svg", "looked_note": PHRASES["looked_note"],
    }
    drawn = {f"answer-{i}.svg": charts.difference(a, name=f"h{i}", width=320) for i, a in enumerate(verdict.answers)}
    drawn |= {f"pair-{i}.svg": charts.interaction(p) for i, p in enumerate(verdict.interactions) if p.points}
    if row is not None:
        drawn["hundred.svg"] = charts.hundred(row.odds_publish or 0, verdict.publish.within_worth)
    if likeliest(verdict):
        drawn["scores.svg"] = charts.score_lines(verdict.rows, width=520)
    if pictures is not None:
        drawn["looked.svg"] = photograph_in_svg(pictures)
    return pdf("report", data, drawn)


def _plain(markup: str) -> list[str]:
    from html import unescape

    return [unescape(p) for p in markup.replace("<p>", "").split("</p>") if p]
