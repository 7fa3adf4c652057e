"""proofpan dry-run."""

from __future__ import annotations

import click

from proofpan.cli.options import json_option, load, notebook_option, one_sentence, say_json, study_argument, table
from proofpan.study.errors import StudyError, quoted


@click.command(epilog="Example: proofpan dry-run crackers.yaml --kitchens 500")
@study_argument
@click.option("--kitchens", default=300, show_default=True, help="How many invented kitchens.")
@click.option("--seed", default=0, show_default=True)
@click.option("--cluster", metavar="ADDRESS", help="A Dask scheduler that shares the work (same numbers).")
@click.option("--effect", "effects", multiple=True, metavar="FACTOR=POINTS",
              help="Typical difference between two options of a factor (or pairs=POINTS), in place of what is usual; may be repeated.")
@notebook_option
@json_option
@one_sentence
def command(
    study: str, kitchens: int, seed: int, cluster: str | None, effects: tuple[str, ...], notebook: str | None, as_json: bool,
) -> None:
    """Play the study on invented kitchens before anything is cooked."""
    from proofpan.steps.dry_run import dry_run

    done = dry_run(load(study, notebook), kitchens=kitchens, seed=seed, cluster=cluster, effects=dict(map(_effect, effects)))
    if as_json:
        say_json(done)
        return
    for line in done.says:
        click.echo(line)
    if done.proposal is not None:
        plates = f", plates: {done.proposal.plates}" if done.proposal.plates else ""
        click.echo(f"In the study file: rounds: {{loads: {done.proposal.loads}, at_most: {done.proposal.at_most}, "
                   f"passes: {done.proposal.passes}{plates}}}")
    rows = [[p.plan, str(p.trials), str(p.tasters), str(p.tastings), f"{100 * p.within_worth:.0f} ± {100 * p.error:.0f}", f"{p.expected_loss:.2f}"]
            for p in done.plans]
    click.echo()
    table(rows, ["plan", "trials", "tasters", "tastings", "within worth, in 100", "points given up"], right=(1, 2, 3, 4, 5))


def _effect(text: str) -> tuple[str, float]:
    """`fat=0.8` as a factor and its points."""
    name, _, size = text.rpartition("=")
    try:
        return name.strip(), float(size)
    except ValueError:
        raise StudyError(f"An effect is a factor and points, such as fat=0.8, not {quoted(text)}.", field="effect") from None
