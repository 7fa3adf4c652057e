"""The command line: verbs in plain English over the same core as the pages."""

from __future__ import annotations

import sys


def main(arguments: list[str] | None = None) -> int:
    """Run a command; bad input ends in one sentence and exit 2. Without arguments it opens the kitchen's pages."""
    given = sys.argv[1:] if arguments is None else arguments
    if given in (["--help"], ["-h"]):
        from proofpan.cli.verbs import first_page

        print(first_page())
        return 0
    import click

    from proofpan.cli.group import proofpan

    try:
        code = proofpan.main(args=given or ["serve", "--open"], prog_name="proofpan", standalone_mode=False)
        status = code if isinstance(code, int) else 0
    except click.exceptions.Exit as leaving:
        status = leaving.exit_code
    except click.ClickException as error:
        print(_one_line(error.format_message()), file=sys.stderr)
        status = 2
    except (click.Abort, KeyboardInterrupt):
        print("Stopped.", file=sys.stderr)
        status = 130
    except BrokenPipeError:
        status = 0
    if arguments is None:
        sys.exit(status)
    return status


def _one_line(text: str) -> str:
    return " ".join(text.split())
