"""proofpan reading."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from proofpan.cli.options import json_option, notebook_option, one_sentence, open_notebook, say_json


@click.command(epilog="Example: proofpan reading sound snap-7.m4a --keep crackers --trial 7 --as 'crack' --figure pulses")
@click.argument("kind", type=click.Choice(["weights", "probe", "colour", "sound"]))
@click.argument("files", nargs=-1, type=click.Path(path_type=Path, exists=True, dir_okay=False))
@click.option("--raw", type=float, help="Weights: grams before.")
@click.option("--cooked", type=float, help="Weights: grams after.")
@click.option("--scale", "resolution", type=float, default=1.0, show_default=True, help="Weights: what the scale shows to, in grams.")
@click.option("--time", "time_column", default="time", show_default=True, help="Probe: the column of times.")
@click.option("--time-unit", type=click.Choice(["s", "min", "h"]), default="s", show_default=True)
@click.option("--temperature", "temperature_column", default="temperature", show_default=True, help="Probe: the column of temperatures.")
@click.option("--temperature-unit", type=click.Choice(["C", "F"]), default="C", show_default=True)
@click.option("--cooling", is_flag=True, help="Probe: hold it against the cooling limits.")
@click.option("--keep", "study", help="Keep it in a study of the notebook: the originals, and one figure as a measured attribute.")
@click.option("--trial", type=int, help="Of which trial.")
@click.option("--as", "attribute", help="As which measured attribute.")
@click.option("--figure", help="Which figure is that attribute.")
@notebook_option
@json_option
@one_sentence
def command(
    kind: str, files: tuple[Path, ...], raw: float | None, cooked: float | None, resolution: float, time_column: str, time_unit: str,
    temperature_column: str, temperature_unit: str, cooling: bool, study: str | None, trial: int | None, attribute: str | None,
    figure: str | None, notebook: str | None, as_json: bool,
) -> None:
    """Numbers with an interval from weights, a probe log, photographs or recordings of one trial."""
    from proofpan.steps.readings import read_file, read_weights

    if kind == "weights":
        if raw is None or cooked is None:
            raise click.UsageError("Weights need --raw and --cooked, in grams.")
        report = read_weights(raw, cooked, resolution)
    elif not files:
        raise click.UsageError(f"Name the {'log' if kind == 'probe' else 'file'} to read.")
    else:
        options: dict[str, Any] = {}
        if kind == "probe":
            options = {"time_column": time_column, "temperature_column": temperature_column, "time_unit": time_unit,
                       "temperature_unit": temperature_unit, "cooling": cooling}
        report = read_file(kind, files, **options)
    if study is not None:
        keep(study, trial, attribute, figure, report, files, notebook)
    if as_json:
        say_json(report)
        return
    for f in report.figures:
        click.echo(f.says)
    for line in (*report.warnings, *report.cautions):
        click.echo(f"Careful: {line}")


def keep(
    study: str, trial: int | None, attribute: str | None, figure: str | None, report: Any, files: tuple[Path, ...], notebook: str | None
) -> None:
    """Originals and one figure into the notebook."""
    import mimetypes

    from proofpan.notebook.shelf import add_readings

    found = next((f for f in report.figures if f.name == (figure or "").replace("_", " ")), None)
    if trial is None or attribute is None or found is None:
        names = ", ".join(f.name for f in report.figures)
        raise click.UsageError(f"To keep a reading say --trial, --as ATTRIBUTE and --figure: one of {names}.")
    with open_notebook(notebook) as book:
        digests = [book.keep_file(p, name=p.name, media_type=mimetypes.guess_type(p.name)[0] or "application/octet-stream").digest
                   for p in files]
        row = {"trial": str(trial), "attribute": attribute, "value": found.value, "error_sd": found.error_sd, "n": found.n,
               "how": found.how, "file": " ".join(digests)}
        add_readings(book, study, [row])
