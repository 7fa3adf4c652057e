"""proofpan round."""

from __future__ import annotations

import click

from proofpan.cli.options import (
    is_file,
    json_option,
    load,
    notebook_option,
    one_sentence,
    open_notebook,
    say_json,
    study_argument,
    table,
)


@click.command(epilog="Example: proofpan round seeded-oat-crackers --keep")
@study_argument
@click.option("--seed", default=0, show_default=True)
@click.option("--loads", type=int, help="Oven loads, in place of the plan's.")
@click.option("--passes", type=int, help="How often each plate is tasted.")
@click.option("--keep", is_flag=True, help="Plan it: the round is added to the study in the notebook.")
@notebook_option
@json_option
@one_sentence
def command(study: str, seed: int, loads: int | None, passes: int | None, keep: bool, notebook: str | None, as_json: bool) -> None:
    """Propose the round that is worth most, with codes and each taster's order."""
    from proofpan.steps.rounds import next_round
    from proofpan.study.house_words import our_words
    from proofpan.study.words import version_words

    found = load(study, notebook)
    proposed = next_round(found, seed=seed, loads=loads, passes=passes)
    if keep and proposed:
        if is_file(study):
            raise click.ClickException("A file can't keep a round: take it into the notebook first with proofpan import.")
        from proofpan.notebook.shelf import add_round

        with open_notebook(notebook) as book:
            add_round(book, study, proposed)
    if as_json:
        say_json({"number": proposed.number, "trials": [t.model_dump(mode="json") for t in proposed.trials], "codes": proposed.codes,
                  "orders": proposed.orders, "cautions": proposed.cautions, "gain": proposed.gain})
        return
    if not proposed:
        click.echo(" ".join(our_words(c, found) for c in proposed.cautions))
        return
    click.echo(f"Round {proposed.number}" + (", planned" if keep else ", proposed"))
    rows = [[str(t.trial), str(t.load or ""), str(t.tray or ""), str(t.place or ""), version_words(t.version), t.why]
            for t in proposed.trials]
    table(rows, ["trial", "load", "tray", "place", "version", "why"], right=(0,))
    for taster, codes in proposed.orders.items():
        click.echo(f"{taster}: " + " ".join(codes))
    for caution in proposed.cautions:
        click.echo(f"Careful: {our_words(caution, found)}")
