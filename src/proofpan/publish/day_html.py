"""The day's papers as one web page to keep or send: run sheets, ovens, shopping, prep, trays, cuts. It names versions only in the prep list."""

from __future__ import annotations

from collections.abc import Sequence

from markupsafe import Markup

from proofpan.publish.day_papers import cautions_of, day_title, filming_lines, oven_lines, run_sheets, says_of
from proofpan.study.day import DayLists, DayPlan
from proofpan.study.study import Study
from proofpan.study.wording import say, spoken

STYLE = """body{font:17px/1.45 system-ui,sans-serif;max-width:60rem;margin:2rem auto;padding:0 1rem;color:#17191b;background:#fcfcf9}
h1,h2{font-family:Georgia,serif;line-height:1.15}h2{border-top:3px solid;padding-top:.4rem;margin-top:2rem}
table{border-collapse:collapse;width:100%}td,th{text-align:left;vertical-align:top;padding:.3rem .6rem .3rem 0;border-bottom:1px solid #999}
td:first-child{white-space:nowrap}.careful{background:#17191b;color:#fff;padding:.4rem .6rem}.wide{overflow-x:auto}
@media print{body{font-size:10.5pt;margin:0}h2{break-after:avoid}tr{break-inside:avoid}}
@media (prefers-color-scheme:dark){body{color:#f2f1ec;background:#14171a}.careful{background:#f2f1ec;color:#14171a}}"""


def table(head: Sequence[str], rows: Sequence[Sequence[str]]) -> Markup:
    """A table; nothing where there are no rows."""
    if not rows:
        return Markup("")
    top = Markup("").join(Markup('<th scope="col">{}</th>').format(h) for h in head)
    body = Markup("").join(Markup("<tr>{}</tr>").format(Markup("").join(Markup("<td>{}</td>").format(c) for c in row)) for row in rows)
    return Markup('<div class="wide"><table><thead><tr>{}</tr></thead><tbody>{}</tbody></table></div>').format(top, body)


def day_html(study: Study, plan: DayPlan, lists: DayLists) -> str:
    """All the day's papers as one HTML file that needs nothing beside it."""
    title = study.title
    parts = [Markup("<p>{}.</p>").format(day_title(plan))]
    parts += [Markup('<p class="careful"><b>{}</b> {}</p>').format(say("Careful."), c) for c in cautions_of(plan)]
    parts.append(Markup("<ul>{}</ul>").format(Markup("").join(Markup("<li>{}</li>").format(s) for s in says_of(plan))))
    if plan.tied:
        parts.insert(1, Markup("<h2>{}</h2><ul>{}</ul>").format(say("Before you cook"), Markup("").join(Markup("<li>{}</li>").format(s) for s in plan.tied)))
    for sheet in run_sheets(plan):
        parts.append(Markup("<h2>{}</h2>").format(sheet["name"]))
        for day in sheet["days"]:
            parts += [Markup("<h3>{}</h3>").format(day["day"])] if day["day"] else []
            parts.append(table((say("From"), say("To"), say("What"), say("Where"), say("Know")), day["lines"]))
    sections = (
        (say("Ovens"), table((say("Oven"), say("Set to"), say("Turn at"), say("Hot by"), say("Until"), say("Goes in")), oven_lines(plan))),
        (say("Shopping"), table((say("What"), say("Amount"), say("Section"), say("Note"), say("Cost")),
                                [(x.what, x.amount, say(x.section), x.note, x.cost) for x in lists.shopping])),
        (say("Left over"), table((say("What"), say("Amount"), say("Note"), say("Cost")), [(x.what, x.amount, x.note, x.cost) for x in lists.left_over])),
        (say("Prep"), table((say("For"), say("What"), say("Amount"), say("Note")), [(x.section, x.what, x.amount, x.note) for x in lists.prep])),
        (say("Trays"), table((say("Load"), say("Oven"), say("Tray"), say("Place"), say("Trial"), say("Codes")),
                              [(str(p.load), p.oven, str(p.tray), str(p.place), str(p.trial), " ".join(p.codes)) for p in lists.trays])),
        (say("Filming"), Markup("").join(table((say("From"), say("To"), say("For the camera"), say("Who"), say("In the room")), day["lines"])
                                         for day in filming_lines(plan))),
        (say("Cutting plan"), table((say("Trial"), say("Part"), say("Where"), say("Plate"), say("Taster")),
                                         [(str(c.trial), say("{part} of {of}", part=c.part, of=c.of), say(c.where), c.code, c.taster) for c in lists.cuts])),
    )
    parts += [Markup("<h2>{}</h2>{}").format(name, body) for name, body in sections if body]
    if lists.cost:
        parts.append(Markup("<p>{}</p>").format(lists.cost))
    return str(
        Markup('<!doctype html><html lang="{}"><head><meta charset="utf-8"><meta name="viewport" content="width=device-width, initial-scale=1">'
               "<title>{}</title><style>{}</style></head><body><h1>{}</h1>{}</body></html>\n").format(
                   spoken().locale, title, Markup(STYLE), title, Markup("").join(parts))
    )
