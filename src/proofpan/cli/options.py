"""Options and behaviour that commands share: where the study comes from, the notebook, JSON, errors as one sentence."""

from __future__ import annotations

import functools
import json
import shutil
import sys
import textwrap
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

import click

from proofpan.study.wording import speaking

if TYPE_CHECKING:
    from proofpan.notebook import Notebook
    from proofpan.study.study import Study

F = TypeVar("F", bound=Callable[..., Any])
FILE_ENDINGS = (".yaml", ".yml", ".toml")


def notebook_option(f: F) -> F:
    """`--notebook PATH`."""
    return click.option("--notebook", metavar="PATH", help="The notebook to use (default: your own, in your data folder).")(f)


def json_option(f: F) -> F:
    """`--json`."""
    return click.option("--json", "as_json", is_flag=True, help="Print JSON.")(f)


def language_option(f: F) -> F:
    """`--language de`, or a filled-in catalogue: what the command says of the study and writes is said in that language."""

    def speak(context: click.Context, _option: click.Parameter, value: str | None) -> None:
        from proofpan.study.errors import StudyError

        try:
            context.with_resource(speaking(value))
        except StudyError as error:
            raise click.ClickException(str(error)) from None

    return click.option("--language", metavar="LANGUAGE", callback=speak, expose_value=False,
                        help="The language of our own words, numbers and dates: en, en-US, or a translation's .po file.")(f)


def study_argument(f: F) -> F:
    """The study: a file, or its name in the notebook."""
    return click.argument("study", metavar="STUDY")(f)


def one_sentence(f: F) -> F:
    """Turn the house's errors into one sentence and exit 2."""

    @functools.wraps(f)
    def run(*args: Any, **kwargs: Any) -> Any:
        from proofpan.notebook.errors import NotebookError
        from proofpan.study.errors import ProofpanError

        try:
            return f(*args, **kwargs)
        except (ProofpanError, NotebookError) as error:
            raise click.ClickException(str(error)) from None
        except OSError as error:
            name = Path(str(error.filename)).name if error.filename else "The file"
            raise click.ClickException(f"{name} can't be read or written: {(error.strerror or 'an error').lower()}.") from None

    return run  # type: ignore[return-value]


def open_notebook(where: str | None) -> Notebook:
    """The notebook that is asked for."""
    from proofpan.notebook import Notebook

    return Notebook.open(where)


def is_file(study: str) -> bool:
    """Whether a study is named by its file."""
    return study.lower().endswith(FILE_ENDINGS) or Path(study).is_file()


def load(study: str, notebook: str | None = None) -> Study:
    """A study from its file, or from the notebook by its name."""
    if is_file(study):
        from proofpan.study.study import Study

        return Study.load(study)
    from proofpan.notebook.shelf import read_study

    with open_notebook(notebook) as book:
        return read_study(book, study)


def say_json(value: Any) -> None:
    """Print JSON: documents, frames, numbers, names as they are."""
    click.echo(json.dumps(jsonable(value), ensure_ascii=False, indent=1))


def jsonable(value: Any) -> Any:
    """Any result as plain JSON values."""
    if hasattr(value, "model_dump"):
        return jsonable(value.model_dump(mode="json"))
    if hasattr(value, "to_dict") and hasattr(value, "columns"):
        return json.loads(value.to_json(orient="records", date_format="iso"))
    if hasattr(value, "__dataclass_fields__"):
        return {k: jsonable(getattr(value, k)) for k in value.__dataclass_fields__ if not k.startswith("_")}
    if isinstance(value, dict):
        return {k if isinstance(k, str) else " · ".join(map(str, k)) if isinstance(k, tuple) else str(k): jsonable(v)
                for k, v in value.items()}
    if isinstance(value, (list, tuple, set, frozenset)):
        return [jsonable(v) for v in value]
    if hasattr(value, "item"):
        return value.item()
    if isinstance(value, float) and value != value:
        return None
    return value if isinstance(value, (str, int, float, bool)) or value is None else str(value)


def sentences(lines: Any) -> None:
    """Print sentences, one a line."""
    for line in lines:
        click.echo(line)


def steps(lines: Any) -> None:
    """Print steps, indented; in a terminal folded to its width, with what follows set further in."""
    width = shutil.get_terminal_size().columns if sys.stdout.isatty() else 0
    for line in lines:
        click.echo(textwrap.fill(str(line), width, initial_indent="  ", subsequent_indent="    ") if width else f"  {line}")


def table(rows: list[list[str]], heads: list[str], *, right: tuple[int, ...] = ()) -> None:
    """A plain table with a rule under its heads."""
    from rich.console import Console
    from rich.table import Table

    grid = Table(box=None, pad_edge=False, header_style="bold", show_edge=False, show_header=any(heads))
    for i, head in enumerate(heads):
        grid.add_column(head, justify="right" if i in right else "left", overflow="fold")
    for row in rows:
        grid.add_row(*row)
    Console(highlight=False, soft_wrap=False).print(grid)
