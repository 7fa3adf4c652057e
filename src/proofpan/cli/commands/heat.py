"""proofpan heat."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from proofpan.cli.options import json_option, one_sentence, say_json


@click.command(epilog="Example: proofpan heat potato --shape cube --size 3.5 --start 15 --stage boil --until starch")
@click.argument("food")
@click.option("--shape", default="slab", show_default=True, help="slab, one-sided slab, cylinder, sphere, finite cylinder, brick or cube.")
@click.option("--size", "sizes_cm", type=float, multiple=True, required=True, help="Whole thickness, diameter, height or side in cm; one each.")
@click.option("--stage", "stages", multiple=True, required=True, help="In order: 'soak 20 for 30 min', then 'oven 200'; the last without minutes.")
@click.option("--until", multiple=True, help="What must hold: starch, 'poultry leg', … or a core temperature such as 80-85.")
@click.option("--start", "start_c", type=float, default=None, help="Start temperature, °C (20).")
@click.option("--heat-transfer", "heat_transfer_w_m2k", type=float, help="Of our oven, W/(m²·K), as a fit gave it.")
@click.option("--oven-offset", "oven_offset_c", type=float, default=0.0, help="Of our oven, °C, as a fit gave it.")
@click.option("--oven-error", "oven_error_c", type=float, default=15.0, show_default=True, help="Readers' ovens are off by up to this, °C.")
@click.option("--size-spread", type=float, default=25.0, show_default=True, help="Readers' pieces differ by up to this, percent.")
@click.option("--altitude", "altitude_m", type=float, default=1500.0, show_default=True, help="Readers live up to this high, m.")
@click.option("--trays", type=int, default=2, show_default=True, help="Readers load up to this many trays.")
@click.option("--out", "out_min", type=float, multiple=True, help="Minutes after which it really came out, one a kitchen.")
@click.option("--kitchens", type=click.IntRange(32, 100_000), default=128, show_default=True, help="How many kitchens are cooked.")
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
            log: Path | None, free: tuple[str, ...], size_spread: float, as_json: bool, **given: Any) -> None:
    """How long, how sure, and in whose oven."""
    from proofpan.steps.heat import fit, heat

    columns = {n: given.pop(n) for n in ("time_column", "time_unit", "temperature_column", "temperature_unit")}
    if log is not None:
        from proofpan.science.probe import ProbeError, read_log
        from proofpan.study.errors import TrialError

        try:
            read = read_log(log.read_text(encoding="utf-8-sig", errors="replace"), **columns)
        except ProbeError as error:
            raise TrialError(str(error)) from None
        answer: Any = fit(read, food, shape, sizes_cm, stages, free, start_c)
    else:
        answer = heat(food, shape, sizes_cm, stages, until, start_c=20.0 if start_c is None else start_c, size_share=size_spread / 100, **given)
    if as_json:
        say_json(answer)
        return
    for line in answer.says:
        click.echo(line)
    for line in answer.cautions:
        click.echo(f"Careful: {line}")
