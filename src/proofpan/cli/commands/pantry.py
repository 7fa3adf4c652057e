"""proofpan pantry."""

from __future__ import annotations

import click

from proofpan.cli.options import json_option, one_sentence, say_json


@click.command(epilog="Example: proofpan pantry cilantro --in UK")
@click.argument("name")
@click.option("--in", "country", help="Its name in a country: UK, US, AU, NZ, CA, IE or IN.")
@json_option
@one_sentence
def command(name: str, country: str | None, as_json: bool) -> None:
    """Look a food up: its names, density, allergens and composition."""
    from proofpan.science.foods import look_up

    food = look_up(name, country)
    if food is None:
        raise click.ClickException(f"“{name}” isn't in the pantry: try a plainer name.")
    if as_json:
        say_json(food)
        return
    click.echo(food.name_in(country) if country else food.name)
    if food.density_g_per_ml is not None:
        value, low, high = food.density_g_per_ml
        click.echo(f"  density {value:.2f} g/mL ({low:.2f} to {high:.2f})")
    click.echo("  allergens (EU): " + (", ".join(food.allergens_eu) or "none of the fourteen"))
    click.echo("  allergens (US): " + (", ".join(food.allergens_us) or "none of the nine"))
    if food.composition is not None:
        c = food.composition
        click.echo(f"  per 100 g: water {c.water_g:g}, protein {c.protein_g:g}, fat {c.fat_g:g}")
    click.echo(f"  source: {food.source}")
