"""Adapters of the mixed-model calls: read the columns, state the model, pass on."""

import csv

from proofpan.science import mixed


def columns(path):
    """A CSV file's columns as text."""
    with open(path, encoding="utf-8", newline="") as file:
        header, *lines = list(csv.reader(file))
    return {name: [line[j] for line in lines] for j, name in enumerate(header)}


def model(inputs):
    """The model that a case states."""
    return mixed.Model(
        response=inputs["response"],
        fixed=tuple(inputs["fixed"]),
        levels={name: tuple(levels) for name, levels in inputs["levels"].items()},
        numeric=tuple(inputs.get("numeric") or ()),
        coding=inputs.get("coding", "treatment"),
        random=tuple(inputs.get("random") or ()),
        random_slopes=tuple(
            mixed.RandomSlopes(s["group"], tuple(s["terms"]), s["correlated"]) for s in inputs.get("random_slopes") or ()
        ),
    )


def fitted(inputs):
    """The case's fit."""
    return mixed.fit_reml(columns(inputs["data"]), model(inputs))


def fit_reml(inputs):
    """mixed.fit_reml."""
    fit = fitted(inputs)
    return {
        "coefficients": fit.coefficients,
        "se": fit.se,
        "variances": dict(fit.variances),
        "loglik_reml": fit.loglik_reml,
        "observations": fit.observations,
        "singular": fit.singular,
    }


ADAPTERS = {"mixed.fit_reml": fit_reml}
