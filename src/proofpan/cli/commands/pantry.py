"""proofpan pantry."""

from __future__ import annotations

from calendar import month_abbr
from typing import TYPE_CHECKING

import click

from proofpan.cli.options import json_option, one_sentence, say_json, table

if TYPE_CHECKING:
    from proofpan.science.foods import Composition, Food


@click.command(epilog="Example: proofpan pantry cilantro --in UK")
@click.argument("name")
@click.option("--in", "country", help="Its name in a country: UK, US, AU, NZ, CA, IE, IN or EU.")
@json_option
@one_sentence
def command(name: str, country: str | None, as_json: bool) -> None:
    """Look a food up: its names, density, allergens and composition."""
    from proofpan.science.foods import FoodError, look_up

    try:
        food = look_up(name, country)
    except FoodError as error:
        raise click.ClickException(str(error)) from None
    if food is None:
        raise click.ClickException(_unknown(name, country))
    if as_json:
        say_json(food)
        return
    click.echo(food.name_in(country) if country else food.name)
    table(_facts(food), ["", ""])
    if food.composition is not None:
        click.echo()
        table(_composition(food.composition), ["per 100 g, edible", "g"], right=(1,))
        click.echo(f"{food.composition.source} ({food.composition.confidence})")
    if food.portions:
        click.echo()
        rows = [[p.unit + (f", {p.state}" if p.state else ""), p.country or "any", f"{p.mass_g:g}", p.source] for p in food.portions]
        table(rows, ["measure", "country", "g", "source"], right=(2,))


def _unknown(name: str, country: str | None) -> str:
    """Why a name finds nothing: two foods bear it, or one is written much like it, or neither."""
    from proofpan.science.foods import meanings, near_names

    said: dict[str, list[str]] = {}
    for code, food in ({} if country else meanings(name)).items():
        said.setdefault(food.name, []).append(code)
    if said:
        each = " and ".join(f"{what} in {', '.join(codes)}" for what, codes in said.items())
        return f"“{name}” means {each}: say whose word it is with --in."
    near = near_names(name)
    if near:
        asked = " or ".join(f"“{n}”" for n in near)
        return f"“{name}” isn't in the pantry. Did you mean {asked}?"
    return f"“{name}” isn't in the pantry: try a plainer name."


def _facts(food: Food) -> list[list[str]]:
    """What a cook asks of a food, a row each; nothing is shown that no source gives."""
    from proofpan.science.foods import cautions

    rows = [["elsewhere", ", ".join(f"{where} {name}" for where, name in food.names)], ["kind", food.category]]
    if food.density_g_per_ml is not None:
        value, low, high = food.density_g_per_ml
        rows.append(["density", f"{value:.2f} g/mL ({low:.2f} to {high:.2f}) {food.density_source}"])
    rows += [["allergens (EU)", ", ".join(food.allergens_eu) or "none of the fourteen"], ["allergens (US)", ", ".join(food.allergens_us) or "none of the nine"]]
    rows += [["diet", ", ".join(food.diet)], ["variety group", food.variety_group]]
    rows += [["edible portion", f"{food.edible_portion_percent:g} %" if food.edible_portion_percent else ""]]
    rows += [["smoke point", f"about {food.smoke_point_c:g} °C" if food.smoke_point_c else ""]]
    for where, season in (("north", food.season_north), ("south", food.season_south)):
        if season:
            rows.append([f"season, {where}", f"{month_abbr[season[0]]} to {month_abbr[season[1]]}"])
    rows += [["careful", cautions()[c]] for c in food.safety]
    return [[a, b] for a, b in rows if b]


def _composition(c: Composition) -> list[list[str]]:
    parts = ("water", "protein", "fat", "saturates", "carbohydrate", "sugars", "fibre", "salt", "organic_acids", "polyols", "alcohol", "ash")
    rows = [[name.replace("_", " "), f"{value:g}"] for name in parts if (value := getattr(c, f"{name}_g")) is not None]
    return rows + ([["energy of the source, kcal", f"{c.energy_kcal:g}"]] if c.energy_kcal is not None else [])
