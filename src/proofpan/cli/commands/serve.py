"""proofpan serve."""

from __future__ import annotations

import click

from proofpan.cli.options import notebook_option, one_sentence


@click.command(epilog="Example: proofpan serve --kitchen --open")
@click.option("--kitchen", is_flag=True, help="Also for phones on the kitchen's own network.")
@click.option("--port", default=8765, show_default=True)
@click.option("--open", "browse", is_flag=True, help="Open the pages in the browser.")
@click.option("--workers", default=1, show_default=True, help="Server processes.")
@notebook_option
@one_sentence
def command(kitchen: bool, port: int, browse: bool, workers: int, notebook: str | None) -> None:
    """Open the kitchen's pages."""
    from proofpan.web.serving import serve

    serve(notebook=notebook, kitchen=kitchen, port=port, browse=browse, workers=workers, say=click.echo)
