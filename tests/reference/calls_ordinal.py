"""Adapters of the cumulative-link calls."""

from proofpan.science.mixed import ordinal
from tests.reference.calls_mixed import columns, model


def fit(inputs):
    """ordinal.fit."""
    return vars(ordinal.fit_ordinal(columns(inputs["data"]), model(inputs), inputs["categories"], inputs["link"]))


def fit_mixed(inputs):
    """ordinal.fit_mixed."""
    asked = [inputs[k] for k in ("categories", "link", "quadrature")]
    return vars(ordinal.fit_ordinal_mixed(columns(inputs["data"]), model(inputs), *asked))


ADAPTERS = {"ordinal.fit": fit, "ordinal.fit_mixed": fit_mixed}
