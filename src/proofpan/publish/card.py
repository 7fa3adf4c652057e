"""The recipe card: PDF on A4, Letter or an index card."""

from __future__ import annotations

from html import escape
from typing import Any

from proofpan.publish.page import whole_page
from proofpan.publish.typesetting import pdf
from proofpan.study.edition import Edition
from proofpan.study.reader_recipe import ReaderRecipe, RecipeLine
from proofpan.study.verdict import Verdict
from proofpan.study.words import counted, odds

PAPERS = ("a4", "us-letter", "index")


def recipe_card_pdf(worked: ReaderRecipe, *, paper: str = "a4", verdict: Verdict | None = None, edition: Edition | None = None) -> bytes:
    """The card of a worked recipe; cautions and allergens lead, what the tests say of each change stands below.

    Parameters: paper, "a4", "us-letter" or "index".
    """
    if paper not in PAPERS:
        raise ValueError(f"paper is {paper!r}: {', '.join(PAPERS)}")
    return pdf("card", card_data(worked, paper, verdict, edition))


def recipe_card_html(worked: ReaderRecipe, verdict: Verdict | None = None, *, edition: Edition | None = None) -> str:
    """The card as one page that stands alone."""
    card = card_data(worked, "a4", verdict, edition)
    told = [f'<p class="lead">{escape(card["headnote"])}</p>' if card["headnote"] else "", f"<p>{escape(' · '.join(card['facts']))}</p>"]
    told += [f'<p class="contains"><b>Contains</b> {escape(card["contains"])}</p>'] if card["contains"] else []
    told += [f'<p class="careful"><b>Careful.</b> {escape(c)}</p>' for c in card["cautions"]]
    parts = [("Take", "".join(_row(line) for line in card["lines"])),
             ("Make", "<ol>" + "".join(f"<li>{escape(s)}</li>" for s in card["method"]) + "</ol>"),
             ("If you change…", "".join(f"<p><b>{escape(a)}</b> {escape(b)}</p>" for a, b in card["changes"])),
             ("Notes", "".join(f"<p>{escape(n)}</p>" for n in card["notes"])),
             ("Tested", "".join(f"<p>{escape(' '.join(e))}.</p>" for e in card["evidence"])),
             ("Per serve", f"<p>{escape(' · '.join(' '.join(n) for n in card['nutrition']))}</p>" if card["nutrition"] else "")]
    body = "".join(f'<section aria-labelledby="s{i}"><h2 id="s{i}">{escape(name)}</h2><div>{inner}</div></section>'
                   for i, (name, inner) in enumerate(parts) if inner)
    foot = f"<footer>{escape(' '.join(card['small']))}</footer>" if card["small"] else ""
    kitchen = "Larkspur Lane" if worked.invented else "proofpan"
    return whole_page(card["title"], kitchen, f"<h1>{escape(card['title'])}</h1>{''.join(told)}{body}{foot}")


def _row(line: dict[str, str]) -> str:
    group = f"<p><i>For {escape(line['group'])}</i></p>" if line["group"] else ""
    said = ", ".join(s for s in (line["item"], line["prep"]) if s)
    more = "".join(f" <small>{escape(s)}</small>" for s in (line["more"], line["note"]) if s)
    return f'{group}<p class="line"><b>{escape(line["amount"])}</b><span>{escape(said)}{more}</span></p>'


def card_data(worked: ReaderRecipe, paper: str, verdict: Verdict | None, edition: Edition | None) -> dict[str, Any]:
    """Everything on the card as plain values."""
    facts = [f"Makes {worked.makes}" if worked.makes else "",
             f"Serves {worked.serves:g}" if worked.serves else "",
             f"{worked.total_minutes:.0f} minutes, {worked.active_minutes:.0f} of them yours"
             if worked.total_minutes and worked.active_minutes else ""]
    small = [s for s in (*worked.credits, worked.disclosure, f"Keeps: {worked.keeping}" if worked.keeping else None) if s]
    small += ["Recipe, kitchen and numbers are invented."] if worked.invented else []
    return {
        "title": worked.title, "paper": paper, "headnote": worked.headnote or "",
        "facts": [f for f in facts if f], "evidence": _evidence(worked, verdict),
        "contains": ", ".join(worked.allergens), "cautions": list(worked.cautions),
        "lines": [_line(x) for x in worked.lines],
        "method": [s.text for s in worked.method], "changes": _changes(verdict), "notes": list(worked.notes),
        "nutrition": [[what, serve] for what, _, serve in worked.nutrition.shown] if not worked.nutrition.missing else [],
        "small": small, "foot": f"{worked.title}" + (f", edition {edition.number}" if edition is not None else ""),
    }


def _line(line: RecipeLine) -> dict[str, str]:
    """A line as amount, item and what else is to be said of it."""
    text, item = line.text, line.item
    at = text.casefold().find(item.casefold())
    amount, rest = (text[:at].strip(), text[at + len(item):].lstrip(", ")) if at > 0 else ("", "")
    bracket = amount[amount.index("("):].strip("() ") if "(" in amount else ""
    amount = amount.split("(")[0].strip() if bracket else amount
    shown = item if at >= 0 else text
    status = "" if line.status == "cooked" else line.status
    note = line.note or (status if status == "read" else "")
    return {"amount": amount, "item": shown, "prep": rest, "more": bracket, "note": note,
            "group": line.group or ""}


def _evidence(worked: ReaderRecipe, verdict: Verdict | None) -> list[list[str]]:
    if verdict is None or not verdict.ballots:
        return []
    row = next((r for r in verdict.rows if str(r.version) == worked.version), None)
    out = [[str(len(verdict.rows)), "versions weighed up"], [str(verdict.trials), "trials"]]
    if row is not None and row.odds_publish is not None:
        out.append([odds(row.odds_publish), "it's the best to print"])
        out.append([counted(row.cooked, "make"), "of this very version"])
    return out


def _changes(verdict: Verdict | None) -> list[list[str]]:
    """What the tests say of each change, in a line each."""
    if verdict is None:
        return []
    return [[a.headline if a.headline.endswith("?") else f"{a.headline}.", a.numbers] for a in verdict.answers][:6]
