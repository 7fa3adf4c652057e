"""The day's papers as one web page to keep or send: run sheets, ovens, shopping, prep, trays, cuts. It names versions only in the prep list."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from markupsafe import Markup

from proofpan.publish.day_papers import cautions_of, day_title, filming_lines, oven_lines, run_sheets, says_of
from proofpan.study.day import DayLists, DayPlan, ListLine
from proofpan.study.house_words import our_words
from proofpan.study.study import Study
from proofpan.study.wording import say, spoken
from proofpan.study.words import capital

STYLE = """body{font:17px/1.45 system-ui,sans-serif;max-width:60rem;margin:2rem auto;padding:0 1rem;color:#17191b;background:#fcfcf9}
h1,h2,h3{font-family:Georgia,serif;line-height:1.15}h2{border-top:3px solid;padding-top:.4rem;margin-top:2rem}h3{margin:1.2rem 0 .2rem}
table{border-collapse:collapse;width:100%}td,th{text-align:left;vertical-align:top;padding:.3rem .6rem .3rem 0;border-bottom:1px solid #999}
.at td:first-child,.at td:nth-child(2){white-space:nowrap;width:3.4rem;font-variant-numeric:tabular-nums}td small{display:block}.wide{overflow-x:auto}
.careful{background:#17191b;color:#fff;padding:.4rem .6rem}
@media print{body{font-size:10.5pt;margin:0}h2,h3{break-after:avoid}tr{break-inside:avoid}}
@media (prefers-color-scheme:dark){body{color:#f2f1ec;background:#14171a}.careful{background:#f2f1ec;color:#14171a}}"""
NOTHING = Markup("")


def table(head: Sequence[str], rows: Sequence[Sequence[str | Markup]], *, name: str, kind: str = "") -> Markup:
    """A table that is scrolled by itself where it is wider than a phone; nothing where there are no rows. Parameters: name, what it is read out as."""
    if not rows:
        return NOTHING
    top = NOTHING.join(Markup('<th scope="col">{}</th>').format(h) for h in head)
    body = NOTHING.join(Markup("<tr>{}</tr>").format(NOTHING.join(Markup("<td>{}</td>").format(c) for c in row)) for row in rows)
    whole = Markup('<div class="wide" tabindex="0" role="region" aria-label="{}"><table class="{}"><thead><tr>{}</tr></thead><tbody>{}</tbody></table></div>')
    return whole.format(name, kind, top, body)


def under(what: str, *more: str) -> Markup:
    """What is done, and in small beneath it where, by whom and what to know."""
    return Markup("{}<small>{}</small>").format(what, said) if (said := "; ".join(m for m in more if m)) else Markup("{}").format(what)


def headed(name: str, body: Markup, level: str = "h2") -> Markup:
    """A part under its heading; nothing where it has nothing."""
    return Markup("<{level}>{name}</{level}>{body}").format(level=Markup(level), name=name, body=body) if body else NOTHING


def items(sentences: Sequence[str]) -> Markup:
    """Sentences as a list."""
    return Markup("<ul>{}</ul>").format(NOTHING.join(Markup("<li>{}</li>").format(s) for s in sentences)) if sentences else NOTHING


def day_html(study: Study, plan: DayPlan, lists: DayLists) -> str:
    """All the day's papers as one HTML file that needs nothing beside it."""
    parts = [Markup("<p>{}.</p>").format(day_title(plan))]
    parts += [Markup('<p class="careful"><b>{}</b> {}</p>').format(say("Careful."), c) for c in cautions_of(plan)]
    parts += [headed(say("Before you cook"), items(plan.tied)), items(says_of(plan))]
    parts += [headed(sheet["name"], _run_sheet(sheet)) for sheet in run_sheets(plan)]
    parts.append(headed(say("Ovens"), table((say("Oven"), say("Set to"), say("Turn at"), say("Hot by"), say("Until"), say("Goes in")), oven_lines(plan),
                                            name=say("Ovens"))))
    cost = Markup("<p>{}</p>").format(lists.cost) if lists.cost else NOTHING
    parts += [headed(say("Shopping"), cost + _sections(lists.shopping, study)), headed(say("Left over"), _lines(lists.left_over, say("Left over"))),
              headed(say("Prep"), _sections(lists.prep, study)), headed(say("Trays"), _trays(lists)), headed(say("Filming"), _filming(plan)),
              headed(say("Cutting plan"), table(
                  (say("Trial"), say("Part"), say("Where"), say("Plate"), say("Taster")),
                  [(str(c.trial), say("{part} of {of}", part=c.part, of=c.of), say(c.where), c.code, c.taster) for c in lists.cuts], name=say("Cutting plan")))]
    return str(
        Markup('<!doctype html><html lang="{}"><head><meta charset="utf-8"><meta name="viewport" content="width=device-width, initial-scale=1">'
               "<title>{}</title><style>{}</style></head><body><main><h1>{}</h1>{}</main></body></html>\n").format(
                   spoken().locale, study.title, Markup(STYLE), study.title, NOTHING.join(parts))
    )


def _run_sheet(sheet: Mapping[str, Any]) -> Markup:
    """A person's lines, day by day."""
    out = []
    for day in sheet["days"]:
        rows = [(start, end, under(what, where, know)) for start, end, what, where, know in day["lines"]]
        lines = table((say("From"), say("To"), say("What")), rows, name=f"{sheet['name']} {day['day']}".strip(), kind="at")
        out.append(headed(day["day"], lines, "h3") if day["day"] else lines)
    return NOTHING.join(out)


def _filming(plan: DayPlan) -> Markup:
    """What is shot when, by whom, and who may be in the room."""
    out = []
    for day in filming_lines(plan):
        rows = [(start, end, under(what, who, say("in the room: {who}", who=room))) for start, end, what, who, room in day["lines"]]
        lines = table((say("From"), say("To"), say("For the camera")), rows, name=f"{say('Filming')} {day['day']}".strip(), kind="at")
        out.append(headed(day["day"], lines, "h3") if day["day"] else lines)
    return NOTHING.join(out)


def _sections(lines: Sequence[ListLine], study: Study) -> Markup:
    """A list, a part of the shop or a task of the kitchen after the other."""
    names = list(dict.fromkeys(x.section for x in lines))
    said = {n: capital(our_words(say(n), study)) for n in names}
    return NOTHING.join(headed(said[n], _lines([x for x in lines if x.section == n], said[n]), "h3") for n in names)


def _lines(lines: Sequence[ListLine], name: str) -> Markup:
    """What, how much, and what there is to know of it; its cost where one is known."""
    priced = any(x.cost for x in lines)
    head = (say("What"), say("Amount"), say("Note"), *([say("Cost")] if priced else []))
    return table(head, [(x.what, x.amount, x.note, *([x.cost] if priced else [])) for x in lines], name=name)


def _trays(lists: DayLists) -> Markup:
    """Where each trial stands in which oven; of what isn't baked its place in the row alone."""
    if not any(p.oven for p in lists.trays):
        return table((say("Place"), say("Trial"), say("Codes")), [(str(p.place), str(p.trial), " ".join(p.codes)) for p in lists.trays], name=say("Trays"))
    return table((say("Load"), say("Oven"), say("Tray"), say("Place"), say("Trial"), say("Codes")),
                 [(str(p.load), p.oven, str(p.tray), str(p.place), str(p.trial), " ".join(p.codes)) for p in lists.trays], name=say("Trays"))
