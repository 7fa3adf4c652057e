"""proofpan demo."""

from __future__ import annotations

import time
from pathlib import Path
from typing import Any

import click

from proofpan.cli.options import one_sentence, sentences

STEPS = ("the brief", "the sources", "the dry run", "round 1", "the day", "the tasting", "the verdict", "round 2", "a late idea",
         "a correction", "round 3", "the recipe", "paper and report")


@click.command(epilog="Example: proofpan demo --open")
@click.option("--to", "folder", type=click.Path(path_type=Path), default=Path("demo-output"), show_default=True,
              help="Where the papers and the notebook are put.")
@click.option("--tasters", type=click.IntRange(1, 6), default=2, show_default=True, help="How many of Larkspur Lane taste.")
@click.option("--seed", default=13, show_default=True, help="Which invented kitchen days; the usual ones show settled answers and leans.")
@click.option("--open", "browse", is_flag=True, help="Open the report and the card.")
@one_sentence
def command(folder: Path, tasters: int, seed: int, browse: bool) -> None:
    """See a study go from question to verdict to a published recipe.

    Seeded oat crackers at Larkspur Lane: kitchen, people, dish and numbers are invented, drawn from a seed by examples/.
    """
    from rich.console import Console
    from rich.progress import BarColumn, Progress, TextColumn, TimeElapsedColumn

    started = time.monotonic()
    quiet = Console(stderr=True)
    columns = (TextColumn("{task.description}"), BarColumn(), TimeElapsedColumn())
    with Progress(*columns, console=quiet, transient=True) as progress:
        bar = progress.add_task("the brief", total=len(STEPS))

        def step(name: str) -> None:
            progress.update(bar, description=name, advance=1)

        done = play(tasters, seed, folder, step)
    tell(done, folder, time.monotonic() - started)
    if browse:
        for name in ("how-we-tested.html", "recipe-card.pdf"):
            click.launch(str(folder / name))


def play(tasters: int, seed: int, folder: Path, step: Any) -> dict[str, Any]:
    """The whole job on the invented crackers."""
    import pandas as pd

    from proofpan.cli.examples import examples_folder, invented
    from proofpan.steps.claims import claims_of
    from proofpan.steps.day import plan_day
    from proofpan.steps.dry_run import dry_run
    from proofpan.steps.recipe import recipe
    from proofpan.steps.rounds import next_round
    from proofpan.steps.verdict import judge
    from proofpan.study.study import Study

    folder.mkdir(parents=True, exist_ok=True)
    truth = invented("seeded_oat_crackers")
    path = examples_folder() / "seeded_oat_crackers" / "study.yaml"
    step("the brief")
    study = Study.load(path)
    for name in list(truth.TASTERS)[2:tasters]:
        study = study.amend(add={"taster": name}, why="more palates for the demo")
    if tasters == 1:
        study = study.amend(drop={"taster": "Bo"}, why="alone today")
    step("the sources")
    claims = claims_of(study)
    step("the dry run")
    forecast = dry_run(study, kitchens=60, seed=seed)
    days, verdicts = [], []
    for number in (1, 2, 3):
        step(f"round {number}")
        round_ = next_round(study, seed=seed)
        study = study.with_round(round_)
        if number == 1:
            step("the day")
            days.append(plan_day(study, round=round_, start="2026-06-05T09:00"))
        study = study.with_trials(pd.DataFrame(truth.cook(round_, seed)))
        study = study.with_ballots(pd.DataFrame(truth.taste(round_, study.tasters, seed)))
        if number == 1:
            step("the tasting")
            verdicts.append(judge(study))
            step("the verdict")
        if number == 2:
            step("a late idea")
            study = study.amend(
                add={"factor": {"name": "toasting", "asks": "worth it", "options": [
                    {"name": "none"},
                    {"name": "toasting", "edits": [{"insert": {
                        "id": "toast", "do": "Toast the sunflower seeds in a dry 24 cm frying pan.", "minutes": [4, 6], "until": "they smell nutty",
                        "hands": 5}, "before": "mix"}]},
                ]}}, why="a late idea: toast the seeds", on="2026-06-12",
            )
            step("a correction")
            study = study.amend(base=[{"set": "water", "to": "105 g"}], why="the dough was sticky", on="2026-06-12")
    verdict = judge(study)
    step("the recipe")
    worked = recipe(study, verdict.publish.version)
    step("paper and report")
    write_papers(study, verdict, worked, days, folder)
    keep(study, path, folder)
    return {"study": study, "claims": claims, "forecast": forecast, "first": verdicts[0], "verdict": verdict, "worked": worked,
            "days": days}


def write_papers(study: Any, verdict: Any, worked: Any, days: list[Any], folder: Path) -> None:
    """The recipe card, the report, the last round's test sheets with what each trial weighs."""
    from proofpan.publish.card import recipe_card_pdf
    from proofpan.publish.report import how_we_tested_html, how_we_tested_pdf
    from proofpan.publish.sheets import test_sheets_pdf
    from proofpan.steps.confirming import confirm

    second = confirm(study, verdict).says
    (folder / "recipe-card.pdf").write_bytes(recipe_card_pdf(worked, verdict=verdict))
    (folder / "how-we-tested.html").write_text(how_we_tested_html(study, verdict, recipe=worked, second=second), encoding="utf-8")
    (folder / "how-we-tested.pdf").write_bytes(how_we_tested_pdf(study, verdict, recipe=worked, second=second))
    sheets = one_trial_each(study, study.rounds[-1])
    (folder / "test-sheets.pdf").write_bytes(test_sheets_pdf(study, study.rounds[-1], worked=sheets))


def one_trial_each(study: Any, round_: Any) -> dict[int, Any]:
    """{trial: the recipe in the amount that one trial makes}."""
    from proofpan.steps.caveats import test_batch_share
    from proofpan.steps.recipe import recipe
    from proofpan.steps.test_sheet import for_the_bench
    from proofpan.study.errors import QuantityError

    share, out = test_batch_share(study), {}
    for trial in round_.trials:
        whole = recipe(study, trial.version)
        try:
            out[trial.trial] = for_the_bench(whole if trial.size == "full" or share == 1 else whole.scaled(by=share), study.brief.base)
        except QuantityError:
            continue
    return out


def keep(study: Any, path: Path, folder: Path) -> None:
    """The study in a notebook of its own, to open with the pages."""
    from proofpan.notebook import Notebook
    from proofpan.notebook.shelf import keep_study

    where = folder / "notebook.sqlite"
    where.unlink(missing_ok=True)
    with Notebook.open(where) as book:
        keep_study(book, study, note=f"the demo, from {path.name}")


def tell(done: dict[str, Any], folder: Path, seconds: float) -> None:
    """What happened, in the order of the job."""
    from proofpan.study.words import version_words

    study, verdict, forecast = done["study"], done["verdict"], done["forecast"]
    head = "Seeded oat crackers, at Larkspur Lane. Everything is invented: kitchen, people, dish and numbers, drawn from a seed."
    click.echo(f"{head}\n{study.question}\n")
    click.secho("Sources", bold=True)
    for claim, check in done["claims"]:
        click.echo(f"  {check.says or f'“{claim.words}” ({claim.source}) agrees with what is planned.'}")
    click.secho("\nBefore anything was cooked", bold=True)
    sentences(f"  {line}" for line in forecast.says)
    click.secho("\nAfter one round", bold=True)
    click.echo(f"  {done['first'].publish.headline} {done['first'].publish.because}")
    click.secho("\nThe verdict, after three rounds, a late idea and a correction", bold=True)
    sentences(f"  {line}" for line in verdict.says)
    for line in verdict.cautions[:4]:
        click.echo(f"  Careful: {line}")
    click.secho("\nIf you publish today", bold=True)
    click.echo(f"  {version_words(verdict.publish.version)}. {verdict.publish.simplest_says}")
    sentences(f"  You may say: {line}" for line in verdict.publish.says)
    click.secho("\nCook this next", bold=True)
    click.echo(f"  {verdict.next.why}{' If you cook on all the same:' if verdict.next.stop and verdict.next.round else ''}")
    upcoming = verdict.next.round
    for trial in (upcoming.trials if upcoming is not None else ())[:4]:
        click.echo(f"  {version_words(trial.version)}")
    click.secho("\nPapers", bold=True)
    for name in ("recipe-card.pdf", "how-we-tested.html", "how-we-tested.pdf", "test-sheets.pdf"):
        click.echo(f"  {folder / name}")
    click.echo(f"\n{seconds:.0f} s. The pages: proofpan serve --open --notebook {folder / 'notebook.sqlite'}")
