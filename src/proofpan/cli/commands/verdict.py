"""proofpan verdict."""

from __future__ import annotations

from typing import Any

import click

from proofpan.cli.options import json_option, language_option, load, notebook_option, one_sentence, say_json, study_argument, table


@click.command(epilog="Example: proofpan verdict crackers.yaml --trials trials.csv --ballots ballots.csv")
@study_argument
@click.option("--trials", type=click.Path(), help="What was cooked, as CSV, beside what the study holds.")
@click.option("--ballots", type=click.Path(), help="What was tasted, as CSV.")
@click.option("--for", "for_", type=click.Choice(["these tasters", "readers"]), help="Whom it is to speak for.")
@click.option("--all", "whole", is_flag=True, help="With the table of versions, of effects, and a second analysis.")
@language_option
@notebook_option
@json_option
@one_sentence
def command(
    study: str, trials: str | None, ballots: str | None, for_: str | None, whole: bool, notebook: str | None, as_json: bool
) -> None:
    """What is settled, what isn't, what to publish today, what to cook next."""
    from proofpan.steps.verdict import judge
    from proofpan.study.house_words import our_words
    from proofpan.study.words import version_words

    found = load(study, notebook)
    found = found.with_trials(trials) if trials else found
    found = found.with_ballots(ballots) if ballots else found
    verdict = judge(found, for_)
    if as_json:
        say_json({"says": verdict.says, "cautions": verdict.cautions, "best": verdict.best, "publish": verdict.publish,
                  "next": {"stop": verdict.next.stop, "gain": verdict.next.gain, "why": verdict.next.why},
                  "table": verdict.table(), "effects": verdict.effects(), "tasters": verdict.tasters()})
        return
    for line in verdict.says:
        click.echo(our_words(line, found))
    for line in verdict.cautions:
        click.echo(f"Careful: {our_words(line, found)}")
    if whole:
        click.echo()
        rows = [[version_words(r.version), f"{r.score:.1f}", f"{r.low:.1f} to {r.high:.1f}",
                 "" if r.odds_publish is None else f"{100 * r.odds_publish:.0f}", str(r.cooked), str(r.failed), r.outside or ""]
                for r in verdict.rows]
        table(rows, ["version", "score", "95 %", "best to print, in 100", "cooked", "failed", "outside"], right=(1, 3, 4, 5))
        second(found, verdict)


def second(study: Any, verdict: Any) -> None:
    """The confirming analysis: its sentences, then its table; then what the marks say in other ways."""
    from proofpan.steps.beside import beside
    from proofpan.steps.confirming import confirm

    found = confirm(study, verdict)
    click.echo()
    for line in found.says:
        click.echo(line)
    for other in beside(study):
        click.echo(" ".join(other.says))
    if not found.rows:
        return
    rows = [[r.factor, f"{r.option} against {r.against}", f"{r.difference:+.2f}", f"{r.low:+.2f} to {r.high:+.2f}", f"{r.df:.1f}", f"{r.p:.3g}",
             f"{r.posterior:+.2f}", "agrees" if r.agrees else "disagrees"] for r in found.rows]
    table(rows, ["factor", "pair", "by the marks alone", "95 %", "df", "p", "verdict", "the two"], right=(2, 4, 5, 6))
    click.echo(found.method)
