"""proofpan amend."""

from __future__ import annotations

from datetime import date
from typing import Any

import click

from proofpan.cli.options import notebook_option, one_sentence, open_notebook


@click.command(epilog='Example: proofpan amend crackers --add "option: {factor: fat, name: lard, edits: [...]}" --why "a late idea"')
@click.argument("study")
@click.option("--add", help="What is added, as YAML: “factor: {name: …, options: […]}”, “option: {factor: fat, name: …}”, “taster: Cleo”.")
@click.option("--drop", help="What is dropped, as YAML: “factor: rest”, “option: {factor: fat, name: butter}”, “taster: Cleo”.")
@click.option("--base", help="Edits of the base recipe, as YAML: “[{set: water, to: 120 g}]”; they make the next draft.")
@click.option("--why", default="", help="Why, in words.")
@click.option("--on", type=click.DateTime(["%Y-%m-%d"]), help="The date (default: today).")
@notebook_option
@one_sentence
def command(study: str, add: str | None, drop: str | None, base: str | None, why: str, on: Any, notebook: str | None) -> None:
    """Change the brief: a late idea, a dropped option, a correction of the base. What was cooked stands."""
    from proofpan.notebook.shelf import change_brief, read_study
    from proofpan.study.yaml_source import read_yaml

    def read(text: str | None) -> Any:
        return None if text is None else read_yaml(text).value

    day = on.date() if on is not None else date.today()
    with open_notebook(notebook) as book:
        revision = book.study(study).revision
        after = read_study(book, study).amend(add=read(add), drop=read(drop), base=read(base), why=why, on=day)
        note = after.amendments[-1].what
        change_brief(book, study, after, note=note, base_revision=revision)
    click.echo(f"Changed {day:%-d %B}: {note}. It now has {len(after.versions())} versions; what was cooked stands.")
