"""proofpan ballots."""

from __future__ import annotations

from typing import Any

import click

from proofpan.cli.options import notebook_option, one_sentence, open_notebook


@click.command(epilog="Example: proofpan ballots dip --mark 417=6.5 --mark 902=7")
@click.argument("study")
@click.argument("csv", type=click.Path(), required=False)
@click.option("--mark", "marks", multiple=True, metavar="CODE=SCORE", help="One plate's mark, by the code under it.")
@click.option("--taster", help="Who marked (default: the first taster).")
@click.option("--attribute", help="What is judged (default: the first).")
@click.option("--round", "number", type=int, help="Which round (default: the newest).")
@notebook_option
@one_sentence
def command(
    study: str, csv: str | None, marks: tuple[str, ...], taster: str | None, attribute: str | None, number: int | None,
    notebook: str | None,
) -> None:
    """Bring in what was tasted, from a CSV or by codes."""
    from proofpan.notebook.shelf import add_ballots, read_study
    from proofpan.study.ballots import BALLOT_COLUMNS
    from proofpan.study.errors import BallotError
    from proofpan.study.frames import read_table

    with open_notebook(notebook) as book:
        found = read_study(book, study)
        rows: list[dict[str, Any]]
        if csv is not None:
            table = read_table(csv, BALLOT_COLUMNS, BallotError, required=("taster", "attribute"))
            found.with_ballots(csv)
            rows = [{c: cells[i] for c, cells in table.columns.items()} for i in range(table.length)]
        elif marks:
            if any("=" not in m for m in marks):
                raise click.UsageError("A mark is CODE=SCORE, such as 417=6.5.")
            newest = number or max((r.number for r in found.rounds), default=1)
            rows = [{"round": str(newest), "taster": taster or found.tasters[0], "attribute": attribute or found.attributes[0].name,
                     "code": code, "score": score} for code, score in (m.split("=", 1) for m in marks)]
        else:
            raise click.UsageError("Name a CSV, or give marks: --mark 417=6.5.")
        after = add_ballots(book, study, rows)
    click.echo(f"{len(after.ballot_records)} ballots are kept.")
