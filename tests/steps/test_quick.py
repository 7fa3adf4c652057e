"""A quick comparison: what is laid where, and in which order it is tasted."""

import proofpan as pp
from proofpan.steps.quick import compare, how_to_shuffle


def test_every_tasters_slips_name_what_lies_under_their_own_codes():
    study = compare(["skin on", "skin off", "diced"], ["Ada", "Bo"])
    round_ = pp.next_round(study, seed=4)
    said = how_to_shuffle(study, round_)
    by_code = {p.code: p for p in round_.plates}
    options = {t.trial: next(iter(t.version.values())) for t in round_.trials}
    for taster in ("Ada", "Bo"):
        at = said.index(f"Under {taster}'s plates:")
        slips = dict(line.split(maxsplit=1) for line in said[at + 1 : at + 4])
        assert sorted(slips) == sorted(round_.orders[taster])
        assert all(by_code[code].taster == taster and options[by_code[code].trial] == option for code, option in slips.items())


def test_alone_the_slips_are_named_once():
    study = compare(["salted", "not salted"], 1)
    round_ = pp.next_round(study, seed=4)
    said = "\n".join(how_to_shuffle(study, round_))
    assert all(said.count(code) == 1 for code in round_.orders[study.tasters[0]]) and "lift the plate" in said
