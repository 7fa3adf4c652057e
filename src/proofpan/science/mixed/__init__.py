"""Linear mixed models by restricted maximum likelihood, with the tests and intervals that rest on them."""

from proofpan.science.mixed.contrasts import (
    Equivalence,
    Estimate,
    TermTest,
    against_control,
    anova,
    coefficients,
    contrast,
    equivalence,
    marginal_means,
    pairwise,
)
from proofpan.science.mixed.fit import Fit, fit_reml
from proofpan.science.mixed.model import MixedError, Model, RandomSlopes, TermRefused
from proofpan.science.mixed.multiple import (
    dunnett_critical,
    largest_t_tail,
    studentized_range_critical,
    studentized_range_tail,
)
from proofpan.science.mixed.reduced import ReducedFit, fit_what_can_be_told

__all__ = [
    "Equivalence",
    "Estimate",
    "Fit",
    "MixedError",
    "Model",
    "RandomSlopes",
    "ReducedFit",
    "TermRefused",
    "TermTest",
    "against_control",
    "anova",
    "coefficients",
    "contrast",
    "dunnett_critical",
    "equivalence",
    "fit_reml",
    "fit_what_can_be_told",
    "largest_t_tail",
    "marginal_means",
    "pairwise",
    "studentized_range_critical",
    "studentized_range_tail",
]
