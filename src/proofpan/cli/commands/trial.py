"""proofpan trial."""

from __future__ import annotations

import click

from proofpan.cli.options import notebook_option, one_sentence, open_notebook


@click.command(epilog='Example: proofpan trial seeded-oat-crackers --trial 7 --set out=09:31 --set note="a crack"')
@click.argument("study")
@click.argument("csv", type=click.Path(), required=False)
@click.option("--trial", type=int, help="One planned trial by its number.")
@click.option("--set", "values", multiple=True, metavar="COLUMN=VALUE", help="What is recorded of it.")
@notebook_option
@one_sentence
def command(study: str, csv: str | None, trial: int | None, values: tuple[str, ...], notebook: str | None) -> None:
    """Bring in what was cooked, from a CSV or one trial in words."""
    from proofpan.notebook.shelf import add_trials, read_study
    from proofpan.study.errors import TrialError
    from proofpan.study.frames import read_table
    from proofpan.study.trials import TRIAL_COLUMNS

    with open_notebook(notebook) as book:
        if csv is not None:
            table = read_table(csv, TRIAL_COLUMNS, TrialError, required=("round", "trial"))
            read_study(book, study).with_trials(csv)
            rows = [{c: cells[i] for c, cells in table.columns.items()} for i in range(table.length)]
        elif trial is not None:
            found = read_study(book, study).trial(trial)
            if found is None:
                raise click.ClickException(f"There is no trial {trial} in {study}.")
            pairs = dict(v.split("=", 1) for v in values if "=" in v)
            rows = [{"round": str(found.round), "trial": str(trial), **pairs}]
        else:
            raise click.UsageError("Name a CSV, or one trial with --trial 7 --set out=09:31.")
        after = add_trials(book, study, rows)
    cooked, failed = len(after.cooked), sum(bool(t.failed) for t in after.cooked)
    click.echo(f"{cooked} trials are recorded" + (f", {failed} of them failed." if failed else "."))
