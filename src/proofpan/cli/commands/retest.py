"""proofpan retest."""

from __future__ import annotations

import secrets
from typing import TYPE_CHECKING

import click

from proofpan.cli.options import json_option, notebook_option, one_sentence, open_notebook, say_json

if TYPE_CHECKING:
    from proofpan.steps.retest import Reweighed

CHANGES = {"ingredient": "another ingredient", "season": "another season"}


@click.command(epilog='Example: proofpan retest seeded-oat-crackers --changed ingredient --why "flour from another mill" --since 3')
@click.argument("study", metavar="STUDY")
@click.option("--against", multiple=True, metavar="VERSION", help="What is set beside the edition's version; say it once for each.")
@click.option("--repeats", type=click.IntRange(1, 3), default=1, help="How often each is made.")
@click.option("--seed", type=int, help="Draw the codes again the same way.")
@click.option("--changed", type=click.Choice(list(CHANGES)), help="What is another since older trials: they then count less.")
@click.option("--why", default="", help="Which ingredient or season, in your words.")
@click.option("--since", type=click.IntRange(1), help="The first round with it (default: the next one).")
@click.option("--weight", type=click.IntRange(0, 100), help="How much earlier trials count, in 100 (default: 50 for an ingredient, 70 for a season).")
@notebook_option
@json_option
@one_sentence
def command(
    study: str, against: tuple[str, ...], repeats: int, seed: int | None, changed: str | None, why: str, since: int | None, weight: int | None,
    notebook: str | None, as_json: bool,
) -> None:
    """Test an edition again: its version is the control; older trials count less where something changed."""
    from proofpan.notebook.shelf import add_round
    from proofpan.steps.retest import retest_round, reweighed
    from proofpan.steps.rounds import next_number
    from proofpan.study.errors import StudyError
    from proofpan.study.words import capital, version_words
    from proofpan.web.editions import newest_of
    from proofpan.web.keeping_editions import keep_change
    from proofpan.web.shelfcache import Shelf

    if not against and not changed:
        raise StudyError("Say what is set beside the edition (--against), or what is another since (--changed).")
    told: tuple[Reweighed, ...] = ()
    planned = None
    with open_notebook(notebook) as book:
        standing = Shelf(book).standing(study)
        if changed:
            change = keep_change(book, standing, CHANGES[changed], why, since or next_number(standing.study), weight, once=secrets.token_hex(6))
            told = reweighed(standing.study, change)
        if against:
            newest = newest_of(standing)
            if newest is None:
                raise StudyError("Publish an edition first; its version is the control.")
            number = secrets.randbelow(1_000_000) if seed is None else seed
            planned = retest_round(standing.study, newest, list(against), seed=number, repeats=repeats)
            add_round(book, study, planned)
    if as_json:
        say_json({"reweighed": told, "round": planned})
        return
    for row in told:
        click.echo(row.says)
    if planned is not None:
        for t in planned.trials:
            click.echo(f"{t.trial}. {capital(version_words(t.version))}. {t.why}")
        for line in planned.cautions:
            click.echo(line)
