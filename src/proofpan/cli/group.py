"""The group of commands; each is imported only when it is called, so that --help is instant."""

from __future__ import annotations

from importlib import import_module
from keyword import iskeyword

import click

from proofpan.cli.verbs import COMMANDS


class LazyGroup(click.Group):
    """A group that imports a command's module when it is called."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """The verbs, in alphabetical order."""
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """The command of that name."""
        if cmd_name not in COMMANDS:
            return None
        name = cmd_name.replace("-", "_")
        module = import_module(f"proofpan.cli.commands.{name}_" if iskeyword(name) else f"proofpan.cli.commands.{name}")
        command: click.Command = module.command
        return command

    def resolve_command(self, ctx: click.Context, args: list[str]) -> tuple[str | None, click.Command | None, list[str]]:
        """The command, or one sentence that names the nearest one."""
        name = args[0]
        if name not in COMMANDS:
            from difflib import get_close_matches

            near = get_close_matches(name, COMMANDS, n=1)
            hint = f" Did you mean “{near[0]}”?" if near else " proofpan --help lists them."
            raise click.UsageError(f"“{name}” isn't a command.{hint}")
        return super().resolve_command(ctx, args)

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """The verbs with a line each, without importing them."""
        with formatter.section("Commands"):
            formatter.write_dl(list(COMMANDS.items()))


def _version(ctx: click.Context, parameter: click.Parameter, asked: bool) -> None:
    if asked:
        import proofpan

        click.echo(proofpan.__version__)
        ctx.exit()


@click.group(cls=LazyGroup, context_settings={"help_option_names": ["-h", "--help"]})
@click.option("--version", is_flag=True, expose_value=False, is_eager=True, callback=_version, help="Show the version.")
def proofpan() -> None:
    """Prove the recipe before you publish it.

    Without a command the kitchen's pages open in the browser.
    """
