"""proofpan reading."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from proofpan.cli.options import json_option, notebook_option, one_sentence, open_notebook, say_json

KINDS = ["weights", "probe", "colour", "sound", "cut-face", "contact-sheet", "oven-places"]
REFERENCES = ["grey card", "white plate", "24-patch chart", "none"]


@click.command(epilog="Example: proofpan reading sound snap-7.m4a --keep crackers --trial 7 --as 'crack' --figure pulses")
@click.argument("kind", type=click.Choice(KINDS))
@click.argument("files", nargs=-1, type=click.Path(path_type=Path, exists=True, dir_okay=False))
@click.option("--raw", type=float, multiple=True, help="Weights: grams before cooking; once a piece.")
@click.option("--cooked", type=float, multiple=True, help="Weights: grams after, in the same order.")
@click.option("--bought", type=float, help="Weights: grams before trimming.")
@click.option("--trimmed", type=float, help="Weights: grams after trimming.")
@click.option("--scale", default="1", show_default=True, help="Weights: what the scale shows to, in grams. Cut face: x1,y1,x2,y2,mm, two marks.")
@click.option("--time", "time_column", default="time", show_default=True, help="Probe: the column of times.")
@click.option("--time-unit", type=click.Choice(["s", "min", "h"]), default="s", show_default=True)
@click.option("--temperature", "temperature_column", default="temperature", show_default=True, help="Probe: the column of temperatures.")
@click.option("--temperature-unit", type=click.Choice(["C", "F"]), help="What the column's name says, else C.")
@click.option("--lag", "time_constant_s", type=click.FloatRange(0, 600), help="Probe: its time constant in seconds, to be taken out.")
@click.option("--cooling", is_flag=True, help="Probe: hold it against the cooling limits.")
@click.option("--reference", type=click.Choice(REFERENCES), help="Colour: what to balance by; found by itself when not said.")
@click.option("--card", multiple=True, help="Colour: x,y on that reference, in the photograph's points.")
@click.option("--include", multiple=True, help="Colour: x,y on food that was missed.")
@click.option("--exclude", multiple=True, help="Colour: x,y on what isn't food.")
@click.option("--tap", help="Sound: from,to in seconds of a reference tap in the recording; levels are then relative to it.")
@click.option("--tap-file", type=click.Path(path_type=Path, exists=True, dir_okay=False), help="Sound: a recording of the tap alone.")
@click.option("--gain-locked/--gain-open", default=None, help="Sound: whether the recorder's gain was locked.")
@click.option("--crop", help="Cut face: left,top,right,bottom of nothing but crumb.")
@click.option("--of", "sheet_of", help="Contact sheet: a study of the notebook; its photographs, unlabelled while blind.")
@click.option("--places", default="2x3", show_default=True, help="Oven places: rows by columns of a tray, back to front and left to right.")
@click.option("--turned", multiple=True, type=click.Path(path_type=Path, exists=True, dir_okay=False),
              help="Oven places: the same trays photographed turned round, in the same order.")
@click.option("--oven", help="Oven places: which oven of the study given with --keep.")
@click.option("--label", "labels", multiple=True, help="Contact sheet of files: one a photograph.")
@click.option("--plot", type=click.Path(path_type=Path, dir_okay=False), help="Draw it: an SVG (a PNG for a contact sheet).")
@click.option("--keep", "study", help="Keep it in a study of the notebook: the originals, and one figure as a measured attribute.")
@click.option("--trial", type=int, help="Of which trial.")
@click.option("--as", "attribute", help="As which measured attribute.")
@click.option("--figure", help="Which figure is that attribute.")
@notebook_option
@json_option
@one_sentence
def command(kind: str, files: tuple[Path, ...], plot: Path | None, study: str | None, trial: int | None, attribute: str | None,
            figure: str | None, notebook: str | None, as_json: bool, **given: Any) -> None:
    """Numbers with an interval from weights, a probe log, photographs or recordings of one trial; a contact sheet of all.

    oven-places: a tray of sliced bread, toasted and photographed with its door side at the bottom, says which places brown more.
    """
    if kind == "oven-places":
        oven_places(files, given, plot, study, notebook, as_json)
        return
    if kind == "contact-sheet":
        sheet(files, given, plot, notebook, as_json)
        return
    report, science = read(kind, files, given)
    if plot is not None:
        made = drawn(kind, files, science, plot)
        plot.write_bytes(made if isinstance(made, bytes) else made.encode("utf-8"))
    if study is not None:
        keep(study, trial, attribute, figure, report, files, notebook)
    if as_json:
        say_json(report)
        return
    for f in report.figures:
        click.echo(f.says)
    for line in (*report.warnings, *report.cautions):
        click.echo(f"Careful: {line}")


def read(kind: str, files: tuple[Path, ...], given: dict[str, Any]) -> tuple[Any, Any]:
    """The report of one reading, and what was measured."""
    from proofpan.steps.readings import measured, read_weights

    if kind == "weights":
        trimming = {f"{n}_g": given[n] for n in ("bought", "trimmed")}
        if not (given["raw"] and given["cooked"]) and None in trimming.values():
            raise click.UsageError("Weights need --raw and --cooked, or --bought and --trimmed, in grams.")
        return read_weights(given["raw"], given["cooked"], numbers(given["scale"], 1, "--scale")[0], **trimming), None
    if not files:
        raise click.UsageError(f"Name the {'log' if kind == 'probe' else 'file'} to read.")
    options: dict[str, Any] = {}
    if kind == "probe":
        options = {n: given[n] for n in ("time_column", "temperature_column", "time_unit", "temperature_unit", "cooling", "time_constant_s")}
        options["temperature_unit"] = options["temperature_unit"] or ""
    elif kind == "sound":
        options = {n: given[n] for n in ("tap_file", "gain_locked")}
        options["tap_s"] = tuple(numbers(given["tap"], 2, "--tap", "from,to in seconds")) if given["tap"] else None
    elif kind == "colour":
        options = {n: [tuple(numbers(text, 2, f"--{n}")) for text in given[n]] for n in ("card", "include", "exclude")}
        options["reference"] = given["reference"] or ("grey card" if given["card"] else None)
    elif kind == "cut-face":
        crop = numbers(given["crop"], 4, "--crop") if given["crop"] else None
        options = {"scale": tuple(numbers(given["scale"], 5, "--scale", "x1,y1,x2,y2,mm")), "crop": crop and tuple(int(x) for x in crop)}
    return measured(kind, files, **options)


def oven_places(files: tuple[Path, ...], given: dict[str, Any], plot: Path | None, study: str | None, notebook: str | None, as_json: bool) -> None:
    """A map of an oven's places from toasted bread, kept with the oven where a study is named."""
    from datetime import date

    from proofpan.steps.oven_places import keep_places, read_oven_places

    found = read_oven_places([f.read_bytes() for f in files], [f.read_bytes() for f in given["turned"]], given["places"],
                             reference=given["reference"], on=date.today())
    if plot is not None:
        from proofpan.publish.oven_map import bread_map

        plot.write_text(bread_map(found.bread), encoding="utf-8")
    if study is not None:
        from proofpan.notebook.shelf import change_brief, read_study

        with open_notebook(notebook) as book:
            change_brief(book, study, keep_places(read_study(book, study), given["oven"], found), note="a map of an oven's places")
    if as_json:
        say_json(found)
        return
    from proofpan.publish.oven_map import map_rows

    for row in map_rows(found.bread):
        click.echo("   ".join(row))
    click.echo("L* below the tray's mean: the higher, the browner; back of the oven first.")
    for line in (*found.says, f"From {found.how}."):
        click.echo(line)
    for line in found.cautions:
        click.echo(f"Careful: {line}")


def numbers(text: str, count: int, option: str, form: str = "") -> list[float]:
    """Numbers with commas between them."""
    try:
        found = [float(part) for part in text.split(",")]
    except ValueError:
        found = []
    if len(found) != count:
        shape = form or {1: "one number", 2: "x,y", 4: "left,top,right,bottom"}[count]
        raise click.UsageError(f"{option} takes {shape}; “{text[:40]}” came.")
    return found


def drawn(kind: str, files: tuple[Path, ...], science: Any, plot: Path) -> str | bytes:
    """The picture of a reading: an SVG, or for photographs, by the file's end, a JPEG with what was measured outlined."""
    from proofpan.publish.reading_plots import cell_sizes, colour_strip, probe_curve, sound_levels

    if plot.suffix.lower() in (".jpg", ".jpeg") and kind in ("colour", "cut-face"):
        return outlined(kind, files, science)
    if kind == "probe":
        return probe_curve(science)
    if kind == "colour":
        return colour_strip(science)
    if kind == "cut-face":
        from proofpan.publish.reading_tables import cells_table

        return cell_sizes(cells_table(science))
    if kind == "sound":
        from proofpan.science.sound import trial_reading
        from proofpan.steps.reading_curves import level_over_time

        recording, analysis = science[0]
        octaves = [r for n, r in trial_reading([a for _, a in science]).readings.items() if n.startswith("octave_")]
        return sound_levels(*level_over_time(recording), analysis, octaves)
    raise click.UsageError("--plot draws a probe's log, a recording, the colour of pieces or a cut face.")


def outlined(kind: str, files: tuple[Path, ...], science: Any) -> bytes:
    """What was taken for food and for the reference, or the cells of a crumb."""
    from proofpan.publish.reading_overlays import overlay_of_colour, overlay_of_crumb
    from proofpan.science.colour.decode import decode

    if science.labels is None:
        raise click.UsageError("Outlines belong to one photograph: give one at a time.")
    return (overlay_of_colour if kind == "colour" else overlay_of_crumb)(decode(files[0].read_bytes()).srgb, science)


def sheet(files: tuple[Path, ...], given: dict[str, Any], plot: Path | None, notebook: str | None, as_json: bool) -> None:
    """A contact sheet of a study's photographs, or of files."""
    from proofpan.steps.reading_sheets import contact_sheet, is_blind, sheet_of

    if plot is None:
        raise click.UsageError("Say where the sheet goes: --plot sheet.png, or sheet.pdf with --of.")
    if not given["sheet_of"]:
        if not files:
            raise click.UsageError("Name photographs, or a study with --of.")
        png, warnings = sheet_of([[f.read_bytes()] for f in files], list(given["labels"]) or None)
        said = "Labelled." if given["labels"] else "Unlabelled."
    else:
        from proofpan.notebook.shelf import read_study

        name = given["sheet_of"]
        with open_notebook(notebook) as book:
            study = read_study(book, name)
            kept = kept_photographs(book, name)
            blind = is_blind(study, set(kept), {t.round for t in book.tastings(name) if t.closed is None})
        made = contact_sheet(study, kept, blind=blind)
        png, warnings = made.png, made.warnings
        said = "Labelled: these were all tasted." if made.labelled else "Shuffled and unlabelled: some are still to be tasted blind."
        if plot.suffix.lower() == ".pdf":
            from proofpan.publish.sheets import contact_sheet_pdf

            png = contact_sheet_pdf(study, png, labelled=made.labelled, px_per_mm=made.px_per_mm, warnings=warnings)
    plot.write_bytes(png)
    if as_json:
        say_json({"file": str(plot), "says": said, "warnings": warnings})
        return
    click.echo(said)
    for line in warnings:
        click.echo(f"Careful: {line}")


def kept_photographs(book: Any, name: str) -> dict[int, list[Any]]:
    """{trial: its photographs as they were noted}, those whose file is missing left out."""
    from proofpan.notebook import NotebookError
    from proofpan.notebook.photographs import photographs_of
    from proofpan.steps.reading_sheets import Shot

    out: dict[int, list[Any]] = {}
    for trial, known in photographs_of(book.events(name)).items():
        for digest, said in known.items():
            try:
                out.setdefault(trial, []).append(Shot(data=book.read_file(digest), **said))
            except NotebookError as error:
                click.echo(f"Careful: {error}", err=True)
    return out


def keep(
    study: str, trial: int | None, attribute: str | None, figure: str | None, report: Any, files: tuple[Path, ...], notebook: str | None
) -> None:
    """Originals and one figure into the notebook."""
    import mimetypes

    from proofpan.notebook.shelf import add_readings

    found = next((f for f in report.figures if f.name == (figure or "").replace("_", " ")), None)
    if trial is None or attribute is None or found is None:
        names = ", ".join(f.name for f in report.figures)
        raise click.UsageError(f"To keep a reading say --trial, --as ATTRIBUTE and --figure: one of {names}.")
    with open_notebook(notebook) as book:
        digests = [book.keep_file(p, name=p.name, media_type=mimetypes.guess_type(p.name)[0] or "application/octet-stream").digest
                   for p in files]
        row = {"trial": str(trial), "attribute": attribute, "value": found.value, "error_sd": found.error_sd, "n": found.n,
               "how": found.how, "file": " ".join(digests)}
        add_readings(book, study, [row])
