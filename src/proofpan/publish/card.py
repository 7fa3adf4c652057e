"""The recipe card: PDF on A4, Letter or an index card."""

from __future__ import annotations

from datetime import date
from html import escape
from typing import Any

from proofpan.publish.page import whole_page
from proofpan.publish.typesetting import pdf
from proofpan.study.edition import Edition
from proofpan.study.reader_recipe import ReaderRecipe, RecipeLine
from proofpan.study.verdict import Answer, Verdict
from proofpan.study.wording import say, speaking, spoken
from proofpan.study.words import capital, counted, odds, option_words, points, signed_range

MOST_CHANGES = 6
AS_WELL = ("no difference that matters", "good enough")
PAPERS = ("a4", "us-letter", "index")


def recipe_card_pdf(
    worked: ReaderRecipe, *, paper: str = "a4", verdict: Verdict | None = None, edition: Edition | None = None, on: date | None = None,
    language: str | None = None,
) -> bytes:
    """The card of a worked recipe; cautions and allergens lead, what the tests say of each change stands below.

    Parameters: paper, "a4", "us-letter" or "index"; edition, of which it is the text, without one the card is marked as a draft; on, the
    day it is made: before an edition's embargo, or while nobody has approved it, the card says so; language, of the card's own words,
    such as de, by default the one that is spoken.
    """
    if paper not in PAPERS:
        raise ValueError(f"paper is {paper!r}: {', '.join(PAPERS)}")
    with speaking(language):
        return pdf("card", card_data(worked, paper, verdict, edition, on=on))


def recipe_card_html(
    worked: ReaderRecipe, verdict: Verdict | None = None, *, edition: Edition | None = None, on: date | None = None, language: str | None = None,
) -> str:
    """The card as one page that stands alone."""
    with speaking(language):
        card = card_data(worked, "a4", verdict, edition, on=on)
        lead, sections = card_sections(card)
        foot = f"<footer>{escape(' '.join(card['small']))}</footer>" if card["small"] else ""
        kitchen = "Larkspur Lane" if worked.invented else "proofpan"
        return whole_page(card["title"], kitchen, f"<h1>{escape(card['title'])}</h1>{''.join(lead)}{sections}{foot}")


def card_sections(card: dict[str, Any]) -> tuple[list[str], str]:
    """(what stands above, the sections) of a card as markup; what must be known before cooking stands above."""
    told = [f'<p class="careful"><b>{escape(card["draft"])}</b></p>' if card["draft"] else "",
            f'<p class="careful"><b>{escape(card["warning"])}</b></p>' if card["warning"] else "",
            f'<p class="lead">{escape(card["headnote"])}</p>' if card["headnote"] else "",
            f"<p>{escape(' · '.join(card['facts']))}</p>" if card["facts"] else ""]
    told += [f'<p class="contains"><b>{escape(say("Contains"))}</b> {escape(card["contains"])}</p>'] if card["contains"] else []
    told += [f'<p class="careful"><b>{escape(say("Careful."))}</b> {escape(c)}</p>' for c in card["cautions"]]
    take, make = card["words"]["take"], card["words"]["make"]
    parts = [(take, "".join(_row(line) for line in card["lines"])),
             (make, "<ol>" + "".join(f"<li>{escape(s)}</li>" for s in card["method"]) + "</ol>"),
             (say("If you change…"), "".join(f"<p><b>{escape(a)}</b> {escape(b)}</p>" for a, b in card["changes"])),
             (say("Notes"), "".join(f"<p>{escape(n)}</p>" for n in card["notes"])),
             (say("Tested"), "".join(f"<p>{escape(' '.join(e))}.</p>" for e in card["evidence"])),
             (say("Per serve"), f"<p>{escape(' · '.join(' '.join(n) for n in card['nutrition']))}</p>" if card["nutrition"] else "")]
    body = "".join(f'<section aria-labelledby="s{i}"><h2 id="s{i}">{escape(name)}</h2><div>{inner}</div></section>'
                   for i, (name, inner) in enumerate(parts) if inner)
    return [x for x in told if x], body


def _row(line: dict[str, str]) -> str:
    group = f"<p><i>{escape(line['group'])}</i></p>" if line["group"] else ""
    named = f"<b>{escape(line['item'])}</b>" if line["allergen"] else escape(line["item"])
    said = ", ".join(s for s in (named, escape(line["prep"])) if s)
    more = "".join(f" <small>{escape(s)}</small>" for s in (line["more"], line["note"]) if s)
    return f'{group}<p class="line"><b>{escape(line["amount"])}</b><span>{said}{more}</span></p>'


def card_data(
    worked: ReaderRecipe, paper: str, verdict: Verdict | None, edition: Edition | None, *, on: date | None = None,
    draft: bool = True,
) -> dict[str, Any]:
    """Everything on the card as plain values. Parameters: draft, whether to mark what isn't final (a tester's pack isn't marked)."""
    facts = [say("Makes {makes}", makes=worked.makes) if worked.makes else "",
             say("Serves {number}", number=spoken().number(worked.serves)) if worked.serves else "",
             say("{total} minutes, {active} of them yours", total=spoken().number(worked.total_minutes, 0), active=spoken().number(worked.active_minutes, 0))
             if worked.total_minutes and worked.active_minutes else ""]
    small = [s for s in (*worked.credits, worked.disclosure or (edition.disclosure if edition is not None else None),
                         say("Keeps: {how}", how=worked.keeping) if worked.keeping else None) if s]
    small += [say("Recipe, kitchen and numbers are invented.")] if worked.invented else []
    return {
        "title": worked.title, "paper": paper, "headnote": worked.headnote or "",
        "facts": [f for f in facts if f], "evidence": _evidence(worked, verdict),
        "contains": ", ".join(map(say, worked.allergens)), "cautions": list(worked.cautions),
        "lines": [_line(x) for x in worked.lines],
        "method": [s.text for s in worked.method], "changes": [*_changes(verdict, worked.version), *map(list, worked.swapped)], "notes": list(worked.notes),
        "nutrition": [[say(what), spoken().signs_in(serve)] for what, _, serve in worked.nutrition.shown] if not worked.nutrition.missing else [],
        "small": small, "foot": f"{worked.title}" + (say(", edition {number}", number=edition.number) if edition is not None else ""),
        "draft": draft_mark(edition, on) if draft else "", "warning": (edition.warning or "") if edition is not None else "",
        "words": {"contains": say("Contains"), "careful": say("Careful."), "take": worked.headings[0] if worked.style else say("Take"),
                  "make": worked.headings[1] if worked.style else say("Make"),
                  "changes": say("If you change…"), "notes": say("Notes"), "serve": say("Per serve")},
    }


def draft_mark(edition: Edition | None, on: date | None) -> str:
    """What marks an output that isn't final: no edition, nobody's approval, or an embargo; empty when it is final."""
    if edition is None:
        return say("Draft: not published as an edition.")
    if not edition.approved_by:
        return say("Draft of edition {number}: nobody has approved it yet.", number=edition.number)
    if edition.embargo is not None and (on is None or on < edition.embargo):
        return say("Not before {day}: under embargo.", day=spoken().date(edition.embargo))
    return ""


def _line(line: RecipeLine) -> dict[str, str]:
    """A line as amount, item and what else is to be said of it."""
    text, item = line.text, line.item
    at = text.casefold().find(item.casefold())
    amount, rest = (text[:at].strip(), text[at + len(item):].lstrip(", ")) if at > 0 else ("", "")
    bracket = amount[amount.index("("):].strip("() ") if "(" in amount else ""
    amount = amount.split("(")[0].strip() if bracket else amount
    shown = item if at >= 0 else text
    note = line.note or (say("from a source, not cooked here") if line.status == "read" else "")
    return {"amount": amount, "item": shown, "prep": rest, "more": bracket, "note": note,
            "group": say("For {what}", what=line.group) if line.group else "",
            "allergen": "yes" if line.allergens else ""}       # what must be declared stands out in the list


def _evidence(worked: ReaderRecipe, verdict: Verdict | None) -> list[list[str]]:
    if verdict is None or not verdict.ballots:
        return []
    row = next((r for r in verdict.rows if str(r.version) == worked.version), None)
    out = [[str(len(verdict.rows)), say("versions weighed up")], [str(verdict.trials), say("trials")]]
    if row is not None and row.odds_publish is not None:
        out.append([odds(row.odds_publish), say("it's the best to print")])
        out.append([counted(row.cooked, "make"), say("of this very version")])
    return out


def _changes(verdict: Verdict | None, version: str) -> list[list[str]]:
    """What the tests say of each change to the recipe printed here, in a reader's words; nothing of what it doesn't stand beside."""
    if verdict is None or not verdict.ballots:
        return []
    printed = next((r.version for r in verdict.rows if str(r.version) == version), None)
    if printed is None:
        return []
    found = (_change(a, printed.get(a.row.factor, ""), verdict.scale[1]) for a in verdict.answers)
    return [c for c in found if c is not None][:MOST_CHANGES]


def _change(answer: Answer, printed: str, top: float) -> list[str] | None:
    """(what is changed, what comes of it) of one answer; none where neither of its options is printed."""
    row = answer.row
    if printed not in (row.option, row.against):
        return None
    ours = printed == row.option
    other = row.against if ours else row.option
    what = say("{other} instead of {printed}:", other=capital(option_words(row.factor, other)), printed=option_words(row.factor, printed))
    likely, low, high = (-row.difference, -row.high, -row.low) if ours else (row.difference, row.low, row.high)
    size, span = points(likely), signed_range(low, high, row.worth)
    if size == "0.0":
        near = say("about the same ({range}, in points of {top:g})", range=span, top=top)
    elif likely > 0:
        near = say("about {size} better of {top:g} ({range})", size=size, top=top, range=span)
    else:
        near = say("about {size} worse of {top:g} ({range})", size=size, top=top, range=span)
    if not row.settled and low < 0 < high:   # what an extra must earn may be open where that it does something is not
        return [what, say("our tests couldn't tell; {near}.", near=near)]
    return [what, say("does as well: {near}.", near=near) if row.outcome in AS_WELL else f"{near}."]
