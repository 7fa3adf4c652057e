"""What a limit costs is a figure only where somebody tasted what it keeps out."""

import proofpan as pp
from tests.kitchens import CRACKERS, ballots_of, crackers, judged_study, trials_of


def limited(limits: str = "{must_use: [60 g unsalted butter]}") -> pp.Study:
    return pp.Study.from_text(crackers().to_yaml() + f"limits: {limits}\n")


def only_butter(study: pp.Study) -> pp.Study:
    """The versions within the limit cooked twice; what it keeps out never."""
    trials = trials_of(study, 2)
    trials = trials[["butter" in v for v in trials.version]]
    return study.with_trials(trials).with_ballots(ballots_of(study, trials))


def test_an_option_nobody_tasted_gives_the_limit_no_figure():
    verdict = pp.judge(only_butter(limited()))
    assert verdict.limits == ("What the 60 g unsalted butter costs isn't known: nobody has tasted olive oil; cook it once to know.",)
    assert not any("outside the brief" in c for c in verdict.cautions)


def test_one_that_was_tasted_gives_its_figure_with_a_range():
    verdict = pp.judge(judged_study(limited(), score=lambda v: 6 + 2 * (v["fat"] == "olive oil"), times=2))
    assert len(verdict.limits) == 1 and "better without" in verdict.limits[0] and " to " in verdict.limits[0]
    assert "obody has tasted" not in verdict.limits[0]


def test_a_tasted_one_gives_the_figure_and_the_untasted_is_named_beside_it():
    text = CRACKERS.replace("- {name: fat, options: [", "- {name: fat, options: [{name: lard, edits: [{swap: unsalted butter, for: 50 g lard}]}, ")
    study = pp.Study.from_text(text + "limits: {must_use: [60 g unsalted butter]}\n")
    trials = trials_of(study, 2)
    trials = trials[["lard" not in v for v in trials.version]]
    marked = study.with_trials(trials).with_ballots(ballots_of(study, trials, lambda v: 6 - 3 * (v["fat"] == "olive oil")))
    said = pp.judge(marked).limits
    assert len(said) == 1 and "olive oil" in said[0]
    assert ("Nobody has tasted" in said[0]) and "lard" in said[0]


def test_the_same_few_lines_are_read_once_however_many_versions_hold_them():
    from proofpan.science.measures.lines import _parse

    sets = [("salt", "fine salt", (5, 6, 7)), ("water", "water", (100, 120, 130)), ("flour", "plain flour", (240, 260, 270))]
    more = "".join(f"  - {{name: {name}, options: [{{name: as written}}, " + ", ".join(
        f"{{name: '{g}', edits: [{{set: {item}, to: {g} g}}]}}" for g in grams) + "]}\n" for name, item, grams in sets)
    study = pp.Study.from_text(CRACKERS.replace("factors:\n", "factors:\n" + more) + "limits: {diet: [vegetarian]}\n")
    assert len(study.versions()) == 512
    _parse.cache_clear()
    pp.next_round(study, seed=1)
    assert _parse.cache_info().misses < 40
