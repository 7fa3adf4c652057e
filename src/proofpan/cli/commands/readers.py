"""proofpan readers."""

from __future__ import annotations

import secrets

import click

from proofpan.cli.options import json_option, notebook_option, one_sentence, open_notebook, say_json


@click.command(epilog='Example: proofpan readers seeded-oat-crackers --asks halve --words "Can I make half?"')
@click.argument("study", metavar="STUDY")
@click.option("--asks", metavar="KIND", help="What a reader asks for: halve, double, tin, no oven, dairy-free, gluten-free, vegan, freeze, ahead or swap.")
@click.option("--words", default="", help="The question in their words.")
@click.option("--line", default="", help="The line it is about: a step or an ingredient.")
@click.option("--complains", metavar="WORDS", help="What went wrong, in their words.")
@click.option("--swapped/--as-written", default=None, help="Whether they are known to have changed something.")
@click.option("--cause", type=click.Choice(["text", "swap", "oven", "us"]), help="What you put the complaint down to.")
@notebook_option
@json_option
@one_sentence
def command(
    study: str, asks: str | None, words: str, line: str, complains: str | None, swapped: bool | None, cause: str | None, notebook: str | None, as_json: bool,
) -> None:
    """What readers ask and complain of: kept by line, answered as cooked, worked out, or not known."""
    from proofpan.steps.questions import CAUSE_SAYS, replies
    from proofpan.web.editions import complaints_of, questions_of
    from proofpan.web.keeping_editions import keep_complaint, keep_question
    from proofpan.web.shelfcache import Shelf

    with open_notebook(notebook) as book:
        standing = Shelf(book).standing(study)
        if asks:
            keep_question(book, standing, asks, words, line, once=secrets.token_hex(6))
        if complains:
            keep_complaint(book, study, complains, swapped=swapped, cause=cause or "", once=secrets.token_hex(6))
        standing = Shelf(book).standing(study)
    found, complaints = replies(standing.study, questions_of(standing)), complaints_of(standing)
    if as_json:
        say_json({"replies": found, "complaints": complaints})
        return
    for reply in found:
        click.echo(f"{reply.kind}, asked {reply.asked}× ({reply.answer}): {reply.says}")
        if reply.offer_test:
            click.echo("  A small test would answer them: proofpan retest.")
    for c in complaints:
        click.echo(f"“{c.words}” {CAUSE_SAYS[c.cause]}")
    if not found and not complaints:
        click.echo("No reader has asked or complained yet.")
