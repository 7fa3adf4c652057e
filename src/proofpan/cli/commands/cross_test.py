"""proofpan cross-test."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from proofpan.cli.options import (
    is_file,
    json_option,
    language_option,
    load,
    notebook_option,
    one_sentence,
    open_notebook,
    say_json,
    sentences,
    study_argument,
)

if TYPE_CHECKING:
    from proofpan.study.crosstest import CrossTest
    from proofpan.study.versions import Version

NONE_YET = "No other kitchen has reported yet: send a pack with --pack, and bring its answers."
ENDINGS = (".pdf", ".html")


@click.command("cross-test", epilog="Example: proofpan cross-test seeded-oat-crackers answers-*.json")
@study_argument
@click.argument("answers", type=click.Path(path_type=Path), nargs=-1)
@click.option("--version", help="Which version was cooked (default: the one to publish today).")
@click.option("--pack", type=click.Path(path_type=Path, dir_okay=False), help="Write what a tester is sent: a .pdf, or an .html that saves its answers.")
@click.option("--in", "measures", default="as written", help="The tester's measures: metric, US, UK, AU or NZ.")
@click.option("--control", help="A version that the kitchen is asked to make too.")
@click.option("--tester", default="", help="The tester's name, where it is known.")
@click.option("--paper", type=click.Choice(["a4", "us-letter"]), default="a4", help="The paper of a .pdf.")
@click.option("--only-look", is_flag=True, help="Read the answers and say what they say; keep nothing.")
@language_option
@notebook_option
@json_option
@one_sentence
def command(
    study: str, answers: tuple[Path, ...], version: str | None, pack: Path | None, measures: str, control: str | None, tester: str, paper: str,
    only_look: bool, notebook: str | None, as_json: bool,
) -> None:
    """Send the recipe as written to other kitchens, and read what they report: answers' files (.json), or a CSV.

    A study of the notebook keeps the answers, as its page does; without answers it says what has come back so far.
    """
    from proofpan.steps.crosstest import cross_test
    from proofpan.steps.making import recipe_of
    from proofpan.steps.verdict import judge
    from proofpan.study.errors import StudyError
    from proofpan.study.words import capital, counted

    found = load(study, notebook)
    chosen = found.version(version) if version else judge(found).publish.version
    if pack is not None:
        from proofpan.publish.tester import tester_form_html, tester_pack_pdf
        from proofpan.steps.tester_pack import tester_pack

        if pack.suffix.lower() not in ENDINGS:
            raise StudyError(f"A tester's pack ends in .pdf or .html, not “{pack.suffix}”.")
        made = tester_pack(found, chosen, measures=measures, tester=tester, control=control)
        if pack.suffix.lower() == ".pdf":
            pack.write_bytes(tester_pack_pdf(made, paper=paper))
        else:
            pack.write_text(tester_form_html(made), encoding="utf-8")
        click.echo(f"{pack.name}: {made.recipe.title}, {made.measures}.")
        if not answers:
            return
    if only_look or is_file(study):
        if not answers:
            raise StudyError("Give the answers that came back (a .json or a CSV), or --pack to write what a tester is sent.")
        one_table = len(answers) == 1 and answers[0].suffix.lower() != ".json"
        done: CrossTest | None = cross_test(recipe_of(found, chosen), answers[0] if one_table else _rows(found, chosen, answers))
        kept = "Nothing is kept." if only_look else f"Nothing is kept of a file's cross-tests: proofpan import {study} first, then read them into the notebook."
    else:
        new, done = _keep(study, notebook, chosen, answers)
        again = len(answers) and not new
        kept = "All of it was in the notebook already." if again else f"{capital(counted(new, 'report'))} kept in the notebook." if answers else ""
    if as_json:
        say_json(done if done is not None else {"worked": [0, 0], "says": [NONE_YET]})
        return
    sentences(done.says if done is not None else (NONE_YET,))
    if kept:
        click.echo(kept)


def _keep(study: str, notebook: str | None, version: Version, paths: tuple[Path, ...]) -> tuple[int, CrossTest | None]:
    """Keep the answers in the notebook: how many are new, and what all of the version's reports say."""
    from proofpan.study.errors import StudyError
    from proofpan.web.cross_tests import keep_answers, tests_of
    from proofpan.web.shelfcache import Shelf

    for path in paths:
        if not path.exists():
            raise StudyError(f"There is no file “{path.name}”.")
    with open_notebook(notebook) as book:
        new = 0
        if paths:
            new = keep_answers(book, Shelf(book).standing(study), version, [(p.name, p.read_bytes()) for p in paths])
        return new, tests_of(Shelf(book).standing(study), version)


def _rows(study: object, version: object, paths: tuple[Path, ...]):  # type: ignore[no-untyped-def]
    """All answers as one frame."""
    import pandas as pd

    from proofpan.steps.making import recipe_of
    from proofpan.steps.tester_pack import answers_of, main_step, with_done
    from proofpan.study.errors import StudyError

    main = main_step(recipe_of(study, version))  # type: ignore[arg-type]
    frames = []
    for path in paths:
        if path.suffix.lower() == ".json":
            held = answers_of(path.read_bytes())
            if held["version"] and study.version(held["version"]) != version:  # type: ignore[attr-defined]
                raise StudyError(f"{path.name} reports another version ({held['version']}): read it with --version.")
            frames.append(pd.DataFrame([with_done(held["row"], main)]))
        elif path.exists():
            frames.append(pd.read_csv(path, dtype=str, keep_default_na=False))
        else:
            raise StudyError(f"There is no file “{path.name}”.")
    return pd.concat(frames).astype(object).fillna("")
