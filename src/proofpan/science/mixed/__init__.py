"""Linear mixed models by restricted maximum likelihood, with the tests and intervals that rest on them."""

from proofpan.science.mixed.fit import Fit, fit_reml
from proofpan.science.mixed.model import MixedError, Model, RandomSlopes

__all__ = ["Fit", "MixedError", "Model", "RandomSlopes", "fit_reml"]
