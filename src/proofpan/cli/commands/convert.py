"""proofpan convert."""

from __future__ import annotations

import click

from proofpan.cli.options import json_option, one_sentence, say_json, steps


@click.command(epilog='Example: proofpan convert "1 tsp salt per 3 US quart water" g/L')
@click.argument("amount")
@click.argument("to")
@click.option("--country", help="Whose spoons and cups are meant: AU, NZ, UK, US, CA, IE, IN or metric.")
@json_option
@one_sentence
def command(amount: str, to: str, country: str | None, as_json: bool) -> None:
    """An amount, a temperature or a strength in another unit, with the steps."""
    from proofpan.steps.quantities import convert

    done = convert(amount, to, country)
    if as_json:
        say_json(done)
        return
    spread = "" if done.low == done.high else f" ({done.low:.4g} to {done.high:.4g})"
    click.echo(f"{done.value:.4g} {done.unit}{spread}")
    steps(done.steps)
