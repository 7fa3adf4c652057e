"""proofpan proofread."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from proofpan.cli.options import is_file, json_option, load, notebook_option, one_sentence, open_notebook, say_json, study_argument

if TYPE_CHECKING:
    from proofpan.steps.recipe import WorkedRecipe
    from proofpan.study.edition import Edition


@click.command(epilog="Example: proofpan proofread seeded-oat-crackers from-the-copy-desk.txt")
@study_argument
@click.argument("text", type=click.Path(path_type=Path, exists=True, dir_okay=False))
@click.option("--version", help="Which version was sent (default: the one to publish today).")
@notebook_option
@json_option
@one_sentence
def command(study: str, text: Path, version: str | None, notebook: str | None, as_json: bool) -> None:
    """Hold a text that came back against ours: every changed number, unit or order, every lost line.

    Ours is the newest edition's printed text, as it was frozen; before there is one, the version as it stands.
    """
    from proofpan.steps.proofreading import text_changes

    edition, printed = _sent(study, version, notebook)
    changes = text_changes(edition, text.read_text(encoding="utf-8"), printed)
    if as_json:
        say_json(changes)
        return
    held = f"edition {edition.number}, as it was frozen" if edition.digest else "the version as it stands (no edition of it is out)"
    click.echo(f"Held against {held}.")
    for change in changes:
        click.echo(change.says)
    if not changes:
        click.echo("Nothing changed.")


def _sent(study: str, version: str | None, notebook: str | None) -> tuple[Edition, WorkedRecipe]:
    """What was sent out: the newest edition (with a version, only of that one), else the version as it stands."""
    from proofpan.steps.edition_text import edition_recipe
    from proofpan.steps.making import recipe_of
    from proofpan.steps.recipe import recipe as worked
    from proofpan.steps.verdict import judge
    from proofpan.study.edition import Edition
    from proofpan.web.editions import newest_of
    from proofpan.web.shelfcache import Shelf

    found = load(study, notebook)
    wanted = found.version(version) if version else None
    if not is_file(study):
        with open_notebook(notebook) as book:
            newest = newest_of(Shelf(book).standing(study), wanted)
        if newest is not None:
            return newest, edition_recipe(found, newest)
    chosen = wanted or judge(found).publish.version
    recipe = recipe_of(found, chosen)
    return Edition(number=1, title=recipe.title, version=chosen, recipe=recipe, country=found.brief.kitchen.country), worked(found, chosen)
