"""Adapters of the pooling calls."""

from proofpan.science import pooling


def fixed_effect(inputs):
    """meta.fixed_effect."""
    return vars(pooling.fixed_effect(*[inputs[k] for k in ("estimates", "variances", "interval", "level")]))


def random_effects(inputs):
    """meta.random_effects."""
    return vars(pooling.random_effects(*[inputs[k] for k in ("estimates", "variances", "method", "interval", "level")]))


ADAPTERS = {
    "meta.fixed_effect": fixed_effect,
    "meta.random_effects": random_effects,
    "meta.mean_difference": lambda inputs: vars(pooling.mean_difference(**inputs)),
    "meta.standardised_mean_difference": lambda inputs: vars(pooling.standardised_mean_difference(**inputs)),
    "meta.log_risk_ratio": lambda inputs: vars(pooling.log_risk_ratio(**inputs)),
}
