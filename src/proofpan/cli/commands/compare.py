"""proofpan compare."""

from __future__ import annotations

import click

from proofpan.cli.options import json_option, notebook_option, one_sentence, open_notebook, say_json


@click.command(epilog='Example: proofpan compare "salted" "not salted"')
@click.argument("options", nargs=-1, required=True)
@click.option("--tasters", default="1", help="How many taste, or their names with commas between.")
@click.option("--not-eaten", multiple=True, metavar="FOOD", help="What the tasters don't eat; say it once for each.")
@click.option("--not-blind", is_flag=True, help="It was tasted knowingly (last year's notes).")
@click.option("--seed", default=None, type=int, help="Draw the codes again the same way.")
@click.option("--triangles", type=int, metavar="TURNS", help="Instead of marks: this many triangles, fixed beforehand.")
@notebook_option
@json_option
@one_sentence
def command(
    options: tuple[str, ...], tasters: str, not_eaten: tuple[str, ...], not_blind: bool, seed: int | None, triangles: int | None,
    notebook: str | None, as_json: bool,
) -> None:
    """Two to six options in front of you: codes, order, and how to blind yourself. It lands in the notebook and can grow."""
    import secrets

    from proofpan.notebook.shelf import add_round, keep_study
    from proofpan.steps.quick import compare, how_to_shuffle
    from proofpan.steps.rounds import next_round
    from proofpan.steps.triangles import triangle_plan

    who = int(tasters) if tasters.isdigit() else [t.strip() for t in tasters.split(",") if t.strip()]
    study = compare(options, who, dont_eat=not_eaten, blind=not not_blind)
    number = secrets.randbelow(1_000_000) if seed is None else seed
    round_ = next_round(study, seed=number)
    with open_notebook(notebook) as book:
        entry = keep_study(book, study, note="a quick comparison")
        add_round(book, entry.id, round_)
    turns = triangle_plan(study, triangles, seed=number) if triangles else None
    if as_json:
        say_json({"study": entry.id, "seed": number, "trials": [{"trial": t.trial, "version": str(t.version)} for t in round_.trials],
                  "codes": round_.codes, "orders": round_.orders, "how": how_to_shuffle(study, round_), "triangles": turns})
        return
    for line in how_to_shuffle(study, round_):
        click.echo(line)
    for taster, codes in round_.orders.items():
        click.echo(f"\n{taster}, taste in this order:  " + "   ".join(codes))
    if turns is not None:
        for line in turns.says:
            click.echo(line)
    click.echo(f"\nKept in the notebook as {entry.id}. Marks: proofpan ballots {entry.id} --mark CODE=SCORE …; "
               f"then proofpan verdict {entry.id}")
