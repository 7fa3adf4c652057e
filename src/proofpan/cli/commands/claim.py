"""proofpan claim."""

from __future__ import annotations

from functools import partial

import click

from proofpan.cli.options import json_option, one_sentence, say_json, steps, table


@click.command(epilog='Example: proofpan claim "1 tbsp malt syrup per lb of flour" --from US --ours "40 g malt syrup per 250 g flour"')
@click.argument("words")
@click.option("--ours", required=True, help="What you intend, as a quantity per quantity.")
@click.option("--source", help="Where it was read or heard.")
@click.option("--from", "country", help="The source's country.")
@click.option("--at", "ours_country", help="Your country, where it is another.")
@json_option
@one_sentence
def command(words: str, ours: str, source: str | None, country: str | None, ours_country: str | None, as_json: bool) -> None:
    """Check a source: what it means in our units, and ours as a multiple of it."""
    from proofpan.steps.claims import check_claim
    from proofpan.study.house_words import words_at

    given = {"words": words, "ours": ours, "source": source, "country": country, "ours_country": ours_country}
    done = check_claim({k: v for k, v in given.items() if v is not None})
    if as_json:
        say_json(done)
        return
    said = partial(words_at, country=ours_country or country, typed=(words, ours, source or ""))
    click.echo(said(done.says) or "It agrees.")
    usual = "" if done.usual is None else f"{done.usual[0]:g} to {done.usual[1]:g}"
    rows = [["the source means", str(done.meant)], ["you plan", str(done.planned)],
            ["yours is", f"{done.multiple:.2g} times as much ({done.low:.2g} to {done.high:.2g})"], ["usual", usual]]
    table([r for r in rows if r[1]], ["", ""])
    steps(said(step) for step in done.steps)
