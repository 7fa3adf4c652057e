"""proofpan heat."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from proofpan.cli.options import is_file, json_option, load, notebook_option, one_sentence, open_notebook, say_json, table


@click.command(epilog="Example: proofpan heat potato --shape cube --size 3.5 --start 15 --stage boil --until tender")
@click.argument("food")
@click.option("--shape", default="slab", show_default=True, help="slab, one-sided slab, cylinder, sphere, finite cylinder, brick or cube.")
@click.option("--size", "sizes_cm", type=float, multiple=True, required=True, help="Whole thickness, diameter, height or side in cm; one each.")
@click.option("--stage", "stages", multiple=True, required=True, help="In order: 'soak 20 for 30 min', then 'oven 200'; the last without minutes.")
@click.option("--until", multiple=True, help="What must hold: tender, 'poultry leg', … or a core temperature such as 80-85.")
@click.option("--start", "start_c", type=float, default=None, help="Start temperature, °C (20).")
@click.option("--heat-transfer", "heat_transfer_w_m2k", type=float, help="Of our oven, W/(m²·K), as a fit gave it.")
@click.option("--oven-offset", "oven_offset_c", type=float, default=0.0, help="Of our oven, °C, as a fit gave it.")
@click.option("--oven-error", "oven_error_c", type=float, default=15.0, show_default=True, help="Readers' ovens are off by up to this, °C.")
@click.option("--size-spread", type=float, default=25.0, show_default=True, help="Readers' pieces differ by up to this, percent.")
@click.option("--altitude", "altitude_m", type=float, default=1500.0, show_default=True, help="Readers live up to this high, m.")
@click.option("--own-altitude", "own_altitude_m", type=float, help="Our kitchen's, m (with --study, the study's; else 0).")
@click.option("--trays", type=int, default=2, show_default=True, help="Readers load up to this many trays.")
@click.option("--out", "out_min", type=float, multiple=True, help="Minutes after which it really came out, one a kitchen.")
@click.option("--kitchens", type=click.IntRange(32, 100_000), default=128, show_default=True, help="How many kitchens are cooked.")
@click.option("--what", default="", help="What a sentence calls them (else by their shape).")
@click.option("--study", "study_name", metavar="STUDY", help="Use this study's oven, and the out-times of its trials.")
@click.option("--oven", "oven_name", help="Which of the study's ovens (the only one if not said).")
@click.option("--version", "version_text", help="Only this version's out-times, as: fat=olive oil; oven=190.")
@click.option("--keep", is_flag=True, help="Fit: keep what the log says of the oven with the study in the notebook.")
@notebook_option
@click.option("--seed", default=0, show_default=True)
@click.option("--cluster", metavar="ADDRESS", help="A Dask scheduler that shares the work (same numbers).")
@click.option("--fit", "log", type=click.Path(path_type=Path, exists=True, dir_okay=False), help="A core's probe log: what our oven does.")
@click.option("--time", "time_column", default="time", show_default=True, help="Fit: the column of times.")
@click.option("--time-unit", type=click.Choice(["s", "min", "h"]), default="s", show_default=True)
@click.option("--temperature", "temperature_column", default="temperature", show_default=True, help="Fit: the column of temperatures.")
@click.option("--temperature-unit", type=click.Choice(["C", "F"]), default="C", show_default=True)
@click.option("--free", multiple=True, help="Fit only: heat transfer, oven offset, size (all).")
@json_option
@one_sentence
def command(food: str, shape: str, sizes_cm: tuple[float, ...], stages: tuple[str, ...], until: tuple[str, ...], start_c: float | None,
            log: Path | None, free: tuple[str, ...], size_spread: float, as_json: bool, study_name: str | None, oven_name: str | None,
            version_text: str | None, keep: bool, notebook: str | None, **given: Any) -> None:
    """How long, how sure, and in whose oven.

    FOOD is a pantry name, or mass fractions such as water=0.79,protein=0.02,carbohydrate=0.19. Worked out, not cooked: cross-test it.
    """
    from proofpan.steps.heat import fit, heat
    from proofpan.study.errors import StudyError

    columns = {n: given.pop(n) for n in ("time_column", "time_unit", "temperature_column", "temperature_unit")}
    study = load(study_name, notebook) if study_name else None
    if study is None and (oven_name or version_text or keep):
        raise StudyError("--oven, --version and --keep belong to a study; name it with --study.")
    if log is not None:
        answer: Any = fit(_log(log, columns), food, shape, sizes_cm, stages, free, start_c)
        if keep and study is not None:
            _keep(study, str(study_name), notebook, oven_name, answer, log.name)
    else:
        if study is not None:
            stages, given = _in_kitchen(study, food, oven_name, version_text, stages, given)
        given["own_altitude_m"] = given["own_altitude_m"] or 0.0
        answer = heat(food, shape, sizes_cm, stages, until, start_c=20.0 if start_c is None else start_c, size_share=size_spread / 100, **given)
    if as_json:
        say_json(answer)
        return
    for line in answer.says:
        click.echo(line)
    if log is None:
        click.echo("")
        picture(answer.curve, answer.own_min[0])
        click.echo("")
        table([[name, f"{100 * share:.0f} %", f"{abs(minutes):.1f} min"] for name, share, minutes in answer.matters if share >= 0.005],
              ["what matters", "of the spread", "end to end"])
        for line in answer.sources:
            click.echo(f"Target {line}")
    elif keep:
        click.echo(f"Kept with the oven {oven_name or 'of the kitchen'}; heat uses it from now on.")
    for line in answer.cautions:
        click.echo(f"Careful: {line}")


def _log(path: Path, columns: dict[str, Any]) -> Any:
    from proofpan.science.probe import ProbeError, read_log
    from proofpan.study.errors import TrialError

    try:
        return read_log(path.read_text(encoding="utf-8-sig", errors="replace"), **columns)
    except ProbeError as error:
        raise TrialError(str(error)) from None


def _keep(study: Any, name: str, notebook: str | None, oven: str | None, answer: Any, fitted: str) -> None:
    from proofpan.notebook.shelf import change_brief
    from proofpan.steps.heat_kitchen import keep_fit
    from proofpan.study.errors import StudyError

    changed = keep_fit(study, oven, answer, fitted)
    if is_file(name):
        raise StudyError("A file isn't written over: import the study, then keep it there, or copy the figures to its oven.")
    with open_notebook(notebook) as book:
        change_brief(book, name, changed, note="An oven's fit")


def _in_kitchen(
    study: Any, food: str, oven: str | None, version: str | None, stages: tuple[str, ...], given: dict[str, Any]
) -> tuple[tuple[str, ...], dict[str, Any]]:
    """Stages and settings with the study's oven and its out-times; what was said on the line wins."""
    from proofpan.steps.heat_kitchen import out_times, oven_of, stages_from

    if oven or (stages and "oven" in stages[-1]):
        own = oven_of(study, oven)
        stages = stages_from(own, stages)
        if given["heat_transfer_w_m2k"] is None:
            given["heat_transfer_w_m2k"] = own.heat_transfer_w_m2k
        if not given["oven_offset_c"]:
            given["oven_offset_c"] = own.offset_c or 0.0
    if given["own_altitude_m"] is None:
        given["own_altitude_m"] = study.brief.kitchen.altitude_m
    chosen = study.version(version) if version else None
    return stages, {**given, "out_min": (*given["out_min"], *out_times(study, chosen, food=food))}


def picture(curve: Any, done_min: float) -> None:
    """The curve as rows of a bar each, so that a terminal shows it without colour."""
    from bisect import bisect_left

    minutes = [row[0] for row in curve]
    click.echo("  min   core  surface")
    for step in range(11):
        at = minutes[0] + (minutes[-1] - minutes[0]) * step / 10
        m, core, surface = curve[min(bisect_left(minutes, at), len(curve) - 1)]
        here = "  <- done" if step and minutes[0] + (minutes[-1] - minutes[0]) * (step - 1) / 10 < done_min <= at else ""
        click.echo(f"{m:5.0f}  {core:5.1f}  {surface:7.1f}  {'▪' * max(0, round(core / 4))}{here}")
