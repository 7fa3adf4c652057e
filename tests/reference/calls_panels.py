"""Adapters of the panels topic."""

from dataclasses import asdict

from proofpan.science import panels
from tests.reference.adapters import AtMost


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
        "position_counts_differ_by_at_most": AtMost(got.position_counts_differ_by),
    }


def dprime(i):
    got = asdict(panels.dprime(i["method"], i["correct"], i["n"]))
    return {name: value for name, value in got.items() if value is not None}


def ranks(function):
    def call(i):
        return asdict(function(i["scores"]))

    return call


def rank_differences(i):
    return asdict(panels.rank_differences(i["scores"], i["alpha"]))


def friedman_exact_p(i):
    return {"p": panels.friedman_exact_p(i["tasters"], i["samples"], i["statistic"])}


def critical(function):
    def call(i):
        return {"critical": _list_or_one(lambda alpha: function(i["tasters"], i["samples"], alpha), i["alpha"])}

    return call


def durbin(i):
    return asdict(panels.durbin(i["scores"]))


def cochran_q(i):
    return asdict(panels.cochran_q(i["answers"]))


def bradley_terry(i):
    names = i["samples"]
    got = panels.bradley_terry(i["wins"], names.index(i["reference"]))
    return {
        "ability": dict(zip(names, got.ability, strict=True)),
        "se": dict(zip(names, got.se, strict=True)),
        "deviance": got.deviance,
        "residual_df": got.residual_df,
    }


def penalty_analysis(i):
    return asdict(panels.penalty_analysis(i["just_right"], i["liking"]))


FORMS = {
    "icc(1,1)": "one_way",
    "icc(2,1)": "random_judges",
    "icc(3,1)": "fixed_judges",
    "icc(1,k)": "one_way_mean",
    "icc(2,k)": "random_judges_mean",
    "icc(3,k)": "fixed_judges_mean",
}


def intraclass_correlation(i):
    got = panels.intraclass_correlation(i["scores"], i["level"])
    answer = {}
    for name, field in FORMS.items():
        form = getattr(got, field)
        answer |= {name: form.value, f"{name} low": form.low, f"{name} high": form.high}
    return answer


ADAPTERS = {
    "panels.minimum_correct": minimum_correct,
    "panels.maximum_correct_similar": maximum_correct_similar,
    "panels.discrimination_test": discrimination_test,
    "panels.power": power,
    "panels.sample_size": sample_size,
    "panels.serving_orders": serving_orders,
    "panels.proportion_correct": lambda i: {"proportion_correct": panels.proportion_correct(i["method"], i["dprime"])},
    "panels.dprime": dprime,
    "panels.friedman": ranks(panels.friedman),
    "panels.kendall_w": ranks(panels.kendall_w),
    "panels.page": ranks(panels.page),
    "panels.rank_differences": rank_differences,
    "panels.friedman_exact_p": friedman_exact_p,
    "panels.rank_range_critical": critical(panels.rank_range_critical),
    "panels.page_critical": critical(panels.page_critical),
    "panels.durbin": durbin,
    "panels.cochran_q": cochran_q,
    "panels.bradley_terry": bradley_terry,
    "panels.penalty_analysis": penalty_analysis,
    "panels.intraclass_correlation": intraclass_correlation,
}
