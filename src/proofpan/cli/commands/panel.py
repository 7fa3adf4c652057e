"""proofpan panel."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from proofpan.cli.options import json_option, one_sentence, say_json, table

KINDS = ("triangle", "duo-trio", "two-out-of-five", "tetrad", "2-afc", "3-afc", "preference", "ranking", "liking", "just right",
         "difference from control", "agreement", "yes or no", "studies")


@click.command(epilog="Example: proofpan panel ranks.csv --kind ranking --taster judge --table")
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--kind", required=True, help=f"What was asked: {', '.join(KINDS)}.")
@click.option("--taster", help="The column of who answered (taster).")
@click.option("--plate", help="The column of the plate (plate).")
@click.option("--right", help="Difference tests: the column of right and wrong, yes or no (right).")
@click.option("--preferred", help="Preference: the column of the plate chosen (preferred).")
@click.option("--other", help="Preference: the column of the plate it stood against (other).")
@click.option("--rank", help="Ranking: the column of places, 1 the best, ties allowed (rank).")
@click.option("--score", help="The column of marks (score).")
@click.option("--answer", help="Just right, yes or no: the column of answers (answer).")
@click.option("--liking", help="Just right: the column of liking (liking).")
@click.option("--study", help="Studies: the column of names (study).")
@click.option("--estimate", help="Studies: the column of effects (estimate).")
@click.option("--se", help="Studies: the column of standard errors (se); a column variance does as well.")
@click.option("--control", default="", help="Difference from control: the plate that is the control, hidden among the others.")
@click.option("--order", multiple=True, help="Ranking: the plates from worst to best as expected before tasting; one each.")
@click.option("--thing", default="it", help="Just right: what was asked about, such as salt.")
@click.option("--unit", default="points", show_default=True, help="Of the marks or effects.")
@click.option("--table", "with_table", is_flag=True, help="The table behind the sentence.")
@json_option
@one_sentence
def command(file: Path, kind: str, control: str, order: tuple[str, ...], thing: str, unit: str, with_table: bool, as_json: bool, **columns: Any) -> None:
    """What a tasting's answers say, from a CSV with a row an answer."""
    from proofpan.steps.panel_tables import panel

    named = {role: name for role, name in columns.items() if name}
    found = panel(file, kind, named, control=control, order=order, thing=thing, unit=unit)
    if as_json:
        say_json(found)
        return
    for line in found.says:
        click.echo(line)
    if with_table and found.rows:
        click.echo()
        table([list(r) for r in found.rows], list(found.heads), right=tuple(range(1, len(found.heads))))
    if with_table and found.method:
        click.echo(found.method)
