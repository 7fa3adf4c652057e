"""The group of commands; each is imported only when it is called, so that --help is instant."""

from __future__ import annotations

from importlib import import_module
from keyword import iskeyword

import click

COMMANDS: dict[str, str] = {
    "amend": "Change the brief: a late idea, a dropped option, a correction of the base.",
    "audit": "Read a recipe's text for what would trip a reader.",
    "backup": "Keep a copy of the whole notebook.",
    "ballots": "Bring in what was tasted, from a CSV.",
    "claim": "Check a source: what it means in our units, and ours as a multiple of it.",
    "compare": "Two to six options in front of you: codes, order, and how to blind yourself.",
    "convert": "An amount, a temperature or a strength in another unit.",
    "cross-test": "Read what other kitchens report of the recipe as written.",
    "day": "Plan the kitchen day for a round.",
    "demo": "See a study go from question to verdict to a published recipe.",
    "dry-run": "Play the study on invented kitchens before anything is cooked.",
    "evidence": "What all studies of the notebook together know of an option.",
    "export": "Write a study out of the notebook as a file.",
    "heat": "How long, how sure, and in whose oven.",
    "import": "Take a study file into the notebook.",
    "import-scores": "Bring in an experiment done elsewhere, by naming a CSV's columns.",
    "new": "Start a study file with everything that may stand in it.",
    "pantry": "Look a food up: its names, density, allergens and composition.",
    "proofread": "Hold a text that came back against ours: numbers, units, order, lost lines.",
    "publish": "Freeze a version as an edition, or hear what stops it.",
    "reading": "Numbers from weights, a probe log, a photograph or a recording.",
    "recipe": "A version's recipe, in any reader's measures.",
    "restore": "Take a backup back as the notebook.",
    "round": "Propose the round that is worth most.",
    "schema": "The JSON Schema of a study file.",
    "search": "Find studies in the notebook.",
    "serve": "Open the kitchen's pages.",
    "studies": "List the studies of the notebook.",
    "tie-break": "Two plates, one colleague: codes, and what that one vote moves.",
    "trial": "Bring in what was cooked, from a CSV or in words.",
    "verdict": "What is settled, what isn't, what to publish today, what to cook next.",
}


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
