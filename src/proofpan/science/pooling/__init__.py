"""Pooling an effect over studies: fixed and random effects, heterogeneity, prediction for the next kitchen."""

from proofpan.science.pooling.effects import (
    Effect,
    log_risk_ratio,
    mean_difference,
    standardised_mean_difference,
)
from proofpan.science.pooling.errors import PoolingError
from proofpan.science.pooling.pool import (
    FixedPool,
    RandomPool,
    fixed_effect,
    random_effects,
    tau_squared,
    tau_squared_interval,
)

__all__ = [
    "Effect",
    "FixedPool",
    "PoolingError",
    "RandomPool",
    "fixed_effect",
    "log_risk_ratio",
    "mean_difference",
    "random_effects",
    "standardised_mean_difference",
    "tau_squared",
    "tau_squared_interval",
]
