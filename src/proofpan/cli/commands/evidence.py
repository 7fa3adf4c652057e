"""proofpan evidence."""

from __future__ import annotations

import click

from proofpan.cli.options import json_option, notebook_option, one_sentence, open_notebook, say_json, table


@click.command(epilog="Example: proofpan evidence 'olive oil'")
@click.argument("option")
@notebook_option
@json_option
@one_sentence
def command(option: str, notebook: str | None, as_json: bool) -> None:
    """What all studies of the notebook together know of an option."""
    from proofpan.notebook.shelf import read_study
    from proofpan.steps.evidence import pooled_evidence
    from proofpan.study.errors import StudyError

    if not option.strip():
        raise StudyError("Name an option, such as olive oil.")
    with open_notebook(notebook) as book:
        studies = [read_study(book, e.id) for e in book.studies()]
    found = pooled_evidence(studies, option)
    if as_json:
        say_json(found)
        return
    for line in found.says:
        click.echo(line)
    if found.studies:
        table([[e.study, e.against, f"{e.difference:+.2f}", f"{e.se:.2f}", e.outcome] for e in found.studies],
              ["study", "against", "difference", "standard error", "answer"], right=(2, 3))
