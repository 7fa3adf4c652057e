"""proofpan schema."""

from __future__ import annotations

import click

from proofpan.cli.options import say_json


@click.command(epilog="Example: proofpan schema > study.schema.json")
def command() -> None:
    """The JSON Schema of a study file."""
    from proofpan.study.loading import schema

    say_json(schema())
