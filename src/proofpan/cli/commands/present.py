"""proofpan present."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

import click

from proofpan.cli.options import is_file, language_option, load, notebook_option, one_sentence, open_notebook, study_argument

if TYPE_CHECKING:
    from proofpan.study.edition import Edition
    from proofpan.study.versions import Version


@click.command(epilog="Example: proofpan present seeded-oat-crackers --to for-the-studio --closed")
@study_argument
@click.option("--to", "folder", type=click.Path(path_type=Path, file_okay=False), default=Path("."), help="The folder to write into (default: here).")
@click.option("--closed", is_flag=True, help="Every ballot is in: the sheet may hold results, and charts are drawn.")
@click.option("--paper", type=click.Choice(["a4", "us-letter"]), default="a4", help="The sheet's paper.")
@language_option
@notebook_option
@one_sentence
def command(study: str, folder: Path, closed: bool, paper: str, notebook: str | None) -> None:
    """Write the presenter's sheet, and each chart as pictures of 1920×1080 and 1080×1920."""
    from proofpan.publish.presenter import SIZES, chart_image_png, presenter_sheet_pdf
    from proofpan.steps.verdict import judge
    from proofpan.study.errors import StudyError

    found = load(study, notebook)
    if closed and not found.ballot_records:
        raise StudyError("Nothing is tasted yet, so there is no result to present; leave --closed out for the sealed sheet.")
    verdict = judge(found)
    edition = None if is_file(study) or found.brief.base is None else _edition(study, notebook, verdict.publish.version)
    folder.mkdir(parents=True, exist_ok=True)
    (folder / "presenter.pdf").write_bytes(presenter_sheet_pdf(found, verdict, closed, paper=paper, edition=edition, on=date.today()))
    written = ["presenter.pdf"]
    note = " ".join(s for s in ("Kitchen and numbers are invented." if found.brief.invented else "", found.brief.disclosure or "") if s)
    if closed:
        for size in SIZES:
            for i in range(len(verdict.answers)):
                name = f"answer-{i + 1}-{size[0]}x{size[1]}.png"
                (folder / name).write_bytes(chart_image_png(verdict, size, answer=i, note=note))
                written.append(name)
            for i, pair in enumerate(verdict.interactions):
                if pair.points:
                    name = f"pair-{i + 1}-{size[0]}x{size[1]}.png"
                    (folder / name).write_bytes(chart_image_png(verdict, size, pair=i, note=note))
                    written.append(name)
    click.echo(f"Written to {folder}: {', '.join(written)}.")


def _edition(study: str, notebook: str | None, version: Version) -> Edition | None:
    """The notebook's edition, whose approval and embargo the sheet respects."""
    from proofpan.web.editions import as_published
    from proofpan.web.shelfcache import Shelf

    with open_notebook(notebook) as book:
        return as_published(Shelf(book).standing(study), version)
