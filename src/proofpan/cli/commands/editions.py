"""proofpan editions."""

from __future__ import annotations

import json
import secrets
from datetime import date
from typing import Any

import click

from proofpan.cli.options import json_option, notebook_option, one_sentence, open_notebook, say_json

KINDS = ("web", "card", "caption", "syndicated", "script", "other")


@click.command(epilog='Example: proofpan editions seeded-oat-crackers --correct \'{"set": "fine salt", "to": "4 g"}\' --why "A slip."')
@click.argument("study", metavar="STUDY")
@click.option("--approve", "approver", metavar="NAME", help="Somebody approves the newest edition, by name.")
@click.option("--correct", "edits", multiple=True, metavar="EDIT", help="What the next edition changes, as in a study file; say it once for each line.")
@click.option("--why", default="", help="Why it is corrected, in plain words.")
@click.option("--safety", is_flag=True, help="It is about an allergen, a dose, holding or a jar: urgent, and older editions warn.")
@click.option("--copy", "where", help="A copy elsewhere for the list: where it stands.")
@click.option("--kind", type=click.Choice(KINDS), default="other", help="What kind of copy it is.")
@click.option("--house", default="", help="The house style that the copy is in.")
@click.option("--mended", metavar="WHERE", help="That copy shows the newest edition now.")
@click.option("--gone", metavar="WHERE", help="That copy is no more.")
@notebook_option
@json_option
@one_sentence
def command(
    study: str, approver: str | None, edits: tuple[str, ...], why: str, safety: bool, where: str | None, kind: str, house: str, mended: str | None,
    gone: str | None, notebook: str | None, as_json: bool,
) -> None:
    """What is published: approve it, correct it, and see which copies elsewhere are out of date."""
    from proofpan.study.errors import StudyError
    from proofpan.web.editions import newest_of
    from proofpan.web.keeping_editions import approve, change_copy, keep_copy, keep_correction
    from proofpan.web.shelfcache import Shelf

    with open_notebook(notebook) as book:
        standing = Shelf(book).standing(study)
        if edits:
            keep_correction(book, standing, [_edit(e) for e in edits], why=why, safety=safety, on=date.today())
            standing = Shelf(book).standing(study)
        if approver:
            newest = newest_of(standing)
            if newest is None:
                raise StudyError("Publish an edition first.")
            approve(book, standing, newest, approver, date.today())
            standing = Shelf(book).standing(study)
        if where:
            keep_copy(book, standing, where, kind=kind, house=house, once=secrets.token_hex(6))
        for name, what in ((mended, "mended"), (gone, "gone")):
            if name:
                change_copy(book, standing, name, what, once=secrets.token_hex(6))
        standing = Shelf(book).standing(study)
    _show(standing, as_json)


def _edit(text: str) -> Any:
    from proofpan.study.errors import StudyError

    try:
        return json.loads(text)
    except ValueError:
        raise StudyError("An edit is written as in a study file, such as {\"set\": \"fine salt\", \"to\": \"4 g\"}.") from None


def _show(standing: Any, as_json: bool) -> None:
    from proofpan.steps.copies import copies_to_mend
    from proofpan.web.editions import broken_seals, copies_of, editions_of, state_of, warning_of

    held = editions_of(standing)
    copies = copies_to_mend(held, copies_of(standing))
    if as_json:
        shown = [{"copy": c.copy_, "current": c.current, "urgent": c.urgent, "says": c.says, "lacks": c.lacks} for c in copies]
        say_json({"editions": held, "seals broken": sorted(broken_seals(standing)), "copies": shown})
        return
    if not held:
        click.echo("No edition is out yet: proofpan publish.")
    for e in reversed(held):
        dates = f"published {e.published}" + (f", changed {e.modified}" if e.modified else "") if e.published else "no date"
        click.echo(f"Edition {e.number}: {e.title}, {dates}. {state_of(e, date.today())}")
        if (warning := warning_of(standing, e)):
            click.echo(f"  Careful: {warning}")
        if e.why:
            click.echo(f"  {e.why}")
        for line, before, after in e.changes:
            click.echo(f"  {line}: {before or '(new)'} → {after or '(left out)'}")
    for c in copies:
        click.echo(f"{'URGENT: ' if c.urgent else ''}{c.copy_.where}: {c.says}")
        for line in c.lacks:
            click.echo(f"  {line}")
