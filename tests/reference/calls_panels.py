"""Adapters of the panels topic."""

from dataclasses import asdict

from proofpan.science import panels


def _list_or_one(function, value):
    return [function(v) for v in value] if isinstance(value, list) else function(value)


def minimum_correct(i):
    def at(n, alpha):
        return panels.minimum_correct(i["method"], n, alpha, i.get("alternative", "greater"))

    if isinstance(i["n"], list):
        return {"minimum_correct": [at(n, i["alpha"]) for n in i["n"]]}
    return {"minimum_correct": _list_or_one(lambda alpha: at(i["n"], alpha), i["alpha"])}


def maximum_correct_similar(i):
    return {"maximum_correct": panels.maximum_correct_similar(i["method"], i["n"], i["beta"], i["discriminators"])}


def discrimination_test(i):
    return asdict(
        panels.discrimination_test(i["method"], i["correct"], i["n"], i.get("alternative", "greater"), i["level"])
    )


def share_right(i):
    if "dprime" in i:
        return panels.proportion_correct(i["method"], i["dprime"])
    return panels.odds_right(i["method"], i["discriminators"])


def power(i):
    return asdict(
        panels.power(i["method"], i["n"], i["alpha"], share_right(i), alternative=i.get("alternative", "greater"))
    )


def sample_size(i):
    return asdict(panels.sample_size(i["method"], i["alpha"], i["beta"], share_right(i)))


def serving_orders(i):
    got = panels.serving_orders(i["samples"], i["tasters"], seed=i["seed"])
    return {
        "rows_for_balance": got.rows_for_balance,
        "balanced": got.balanced,
        "times_in_each_position": got.times_in_each_position,
        "times_each_follows_each": got.times_each_follows_each,
        "position_counts_differ_by_at_most": max(1, got.position_counts_differ_by),
    }


ADAPTERS = {
    "panels.minimum_correct": minimum_correct,
    "panels.maximum_correct_similar": maximum_correct_similar,
    "panels.discrimination_test": discrimination_test,
    "panels.power": power,
    "panels.sample_size": sample_size,
    "panels.serving_orders": serving_orders,
}
