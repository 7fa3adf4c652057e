"""proofpan publish."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING, Any

import click

from proofpan.cli.options import is_file, json_option, load, notebook_option, one_sentence, open_notebook, say_json, study_argument

if TYPE_CHECKING:
    from proofpan.study.crosstest import CrossTest
    from proofpan.study.edition import Edition
    from proofpan.study.versions import Version


@click.command(epilog='Example: proofpan publish seeded-oat-crackers --waive cross-test="no testers this season"')
@study_argument
@click.option("--version", help="Which version (default: the one to publish today).")
@click.option("--cross-tests", type=click.Path(), help="What other kitchens report, as CSV.")
@click.option("--waive", multiple=True, metavar="WHAT=WHY", help="What is knowingly left out, with the reason.")
@click.option("--on", type=click.DateTime(["%Y-%m-%d"]), help="The date (default: today).")
@click.option("--approved-by", help="Who approves it; until somebody does, whatever is made of it is marked as a draft.")
@click.option("--house", help="The house style it is written in: a name (AU, NZ, UK, US) or a style file.")
@click.option("--only-look", is_flag=True, help="Say whether it is ready and show it; keep nothing.")
@notebook_option
@json_option
@one_sentence
def command(
    study: str, version: str | None, cross_tests: str | None, waive: tuple[str, ...], on: Any, approved_by: str | None, house: str | None,
    only_look: bool, notebook: str | None, as_json: bool,
) -> None:
    """Freeze a version as an edition, or hear what stops it. A study of the notebook keeps its edition, with the cross-tests it holds."""
    from proofpan.steps.crosstest import cross_test
    from proofpan.steps.edition import publish
    from proofpan.steps.making import recipe_of
    from proofpan.steps.verdict import judge
    from proofpan.study.errors import NotReady
    from proofpan.study.house import house_style

    found = load(study, notebook)
    chosen = found.version(version) if version else judge(found).publish.version
    tests = cross_test(recipe_of(found, chosen), cross_tests) if cross_tests else None if is_file(study) else _held(study, notebook, chosen)
    waived = dict(w.split("=", 1) for w in waive if "=" in w)
    try:
        edition = publish(found, chosen, tests, waived, on=on.date() if on is not None else date.today(), approved_by=approved_by,
                          house=house_style(house) if house and house.lower().endswith((".json", ".toml")) else house)
    except NotReady as error:
        if as_json:
            say_json({"ready": False, "reasons": error.reasons})
            raise click.exceptions.Exit(2) from None
        for reason in error.reasons:
            click.echo(f"Not yet: {reason}", err=True)
        raise click.exceptions.Exit(2) from None
    if not is_file(study) and not only_look:
        edition = _keep(study, notebook, edition)
    if as_json:
        say_json(edition)
        return
    click.echo(f"Edition {edition.number} of {edition.title}, published {edition.published}.")
    if not edition.is_final(edition.published):
        click.echo("A draft: " + ("under embargo." if edition.approved_by else "nobody has approved it yet (--approved-by NAME)."))
    for line in edition.says:
        click.echo(line)
    if is_file(study):
        click.echo(f"Nothing is kept of a file's edition: proofpan import {study} first, then publish it from the notebook.")
    elif only_look:
        click.echo("Nothing is kept.")


def _held(study: str, notebook: str | None, version: Version) -> CrossTest | None:
    """What other kitchens reported to the notebook."""
    from proofpan.web.cross_tests import tests_of
    from proofpan.web.shelfcache import Shelf

    with open_notebook(notebook) as book:
        return tests_of(Shelf(book).standing(study), version)


def _keep(study: str, notebook: str | None, edition: Edition) -> Edition:
    from proofpan.web.keeping_editions import keep_edition
    from proofpan.web.shelfcache import Shelf

    with open_notebook(notebook) as book:
        return keep_edition(book, Shelf(book).standing(study), edition)
