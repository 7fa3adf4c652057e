"""proofpan import-scores."""

from __future__ import annotations

import click

from proofpan.cli.options import json_option, notebook_option, one_sentence, open_notebook, say_json


@click.command(
    "import-scores", epilog="Example: proofpan import-scores cake.csv --factor recipe --factor temperature --score angle --load replicate"
)
@click.argument("csv", type=click.Path())
@click.option("--factor", "factors", multiple=True, required=True, help="A column of what varied.")
@click.option("--score", "scores", multiple=True, required=True, help="A column of what was judged or measured.")
@click.option("--taster", help="The column of who judged.")
@click.option("--round", "round_", help="The column of the day or session.")
@click.option("--load", help="The column of the oven load or batch.")
@click.option("--trial", multiple=True, help="Columns that together say which make a row is of.")
@click.option("--pass", "pass_", help="The column of the repeat.")
@click.option("--less", multiple=True, help="A score of which less is better.")
@click.option("--numeric", multiple=True, help="A factor whose options are ordered numbers.")
@click.option("--worth", type=float, help="The smallest difference that matters.")
@click.option("--scale", nargs=2, type=float, help="The two ends of the scale.")
@click.option("--title")
@click.option("--not-blind", is_flag=True, help="The tasters knew what they had.")
@notebook_option
@json_option
@one_sentence
def command(
    csv: str, factors: tuple[str, ...], scores: tuple[str, ...], taster: str | None, round_: str | None, load: str | None,
    trial: tuple[str, ...], pass_: str | None, less: tuple[str, ...], numeric: tuple[str, ...], worth: float | None,
    scale: tuple[float, float] | None, title: str | None, not_blind: bool, notebook: str | None, as_json: bool,
) -> None:
    """Bring in an experiment done elsewhere, by naming a CSV's columns, and say what it shows."""
    from proofpan.notebook.shelf import keep_study
    from proofpan.steps.importing import import_scores
    from proofpan.steps.verdict import judge

    study = import_scores(
        csv, factors=factors, scores=scores, taster=taster, round_=round_, load=load, trial=trial, pass_=pass_, title=title, worth=worth,
        scale=dict.fromkeys(scores, scale) if scale else None, better=dict.fromkeys(less, "less"), numeric=numeric, blind=not not_blind,
    )
    verdict = judge(study)
    with open_notebook(notebook) as book:
        entry = keep_study(book, study, note="brought in from a table")
    if as_json:
        say_json({"study": entry.id, "says": verdict.says, "cautions": verdict.cautions, "table": verdict.table(), "effects": verdict.effects()})
        return
    click.echo(f"{len(study.trial_records)} trials and {len(study.ballot_records)} marks, in the notebook as {entry.id}.")
    for line in verdict.says:
        click.echo(line)
    for line in verdict.cautions:
        click.echo(f"Careful: {line}")
