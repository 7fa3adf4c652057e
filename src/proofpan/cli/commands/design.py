"""proofpan design."""

from __future__ import annotations

from pathlib import Path

import click

from proofpan.cli.options import json_option, one_sentence, say_json, table


@click.command(epilog="Example: proofpan design fraction --factor 'salt: little, much' --factor fat --factor oven --factor rest --generator D=ABC")
@click.argument("kind", type=click.Choice(["full", "fraction", "screen", "optimal", "blocks"]))
@click.option("--factor", "factors", multiple=True, help="What varies: 'salt: little, much'; a name alone has − and +. One each.")
@click.option("--generator", "generators", multiple=True, help="Fraction: such as D=ABC or E=-ABD, letters in the factors' order.")
@click.option("--runs", type=int, default=0, help="Trials in all; a fraction without generators is then the least aberrant.")
@click.option("--model", type=click.Choice(["main", "pairs", "quadratic"]), default="main", show_default=True, help="Optimal: what it must tell.")
@click.option("--per-load", multiple=True, help="Optimal: a factor that stays as it is within a load (split plot).")
@click.option("--loads", type=int, default=0, help="Optimal: how many loads.")
@click.option("--plates", type=int, default=0, help="Blocks: how many plates there are.")
@click.option("--in-each", type=int, default=0, help="Blocks: how many each taster gets.")
@click.option("--tasters", type=int, default=0, help="Blocks: how many tasters.")
@click.option("--seed", default=0, show_default=True, help="Of the order (and of an optimal design's search).")
@click.option("--csv", "file", type=click.Path(path_type=Path, dir_okay=False), help="Write the trials to this file.")
@json_option
@one_sentence
def command(
    kind: str, factors: tuple[str, ...], generators: tuple[str, ...], runs: int, model: str, per_load: tuple[str, ...], loads: int, plates: int,
    in_each: int, tasters: int, seed: int, file: Path | None, as_json: bool,
) -> None:
    """A classical design: what each trial is, and what can't be told apart."""
    from proofpan.steps import classical

    read = [classical.read_factor(f) for f in factors]
    found = {
        "full": lambda: classical.full(read, seed),
        "fraction": lambda: classical.fraction(read, generators, runs, seed),
        "screen": lambda: classical.screen(read, runs, seed),
        "optimal": lambda: classical.optimal(read, runs, model, per_load, loads, seed),
        "blocks": lambda: classical.blocks(plates, in_each, tasters),
    }[kind]()
    if file is not None:
        file.write_text(found.csv(), encoding="utf-8")
    if as_json:
        say_json(found)
        return
    for line in found.says:
        click.echo(line)
    for name, value in found.facts:
        click.echo(f"{name}: {value}")
    if file is not None:
        click.echo(f"Written to {file.name}.")
        return
    click.echo()
    table([list(r) for r in found.rows], list(found.heads))
    if found.aliases:
        click.echo()
        table([list(r) for r in found.aliases], ["effect", "can't be told from"])
