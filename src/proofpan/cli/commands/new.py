"""proofpan new."""

from __future__ import annotations

from pathlib import Path

import click

from proofpan.cli.options import one_sentence


@click.command(epilog="Example: proofpan new crackers.yaml --title 'Seeded oat crackers'")
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--title", default="A new study")
@one_sentence
def command(file: Path, title: str) -> None:
    """Start a study file with everything that may stand in it, explained."""
    from proofpan.steps.starting import starter_file

    if file.exists():
        raise click.ClickException(f"{file.name} is there already: choose another name.")
    file.write_text(starter_file(title), encoding="utf-8")
    click.echo(f"{file} is written. Change it, then: proofpan dry-run {file}")
