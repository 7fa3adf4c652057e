"""Cumulative-link models for scores in ordered grades: a check on the verdict that treats scores as measurements."""

from proofpan.science.mixed.ordinal.check import Comparison, compare_with_gaussian
from proofpan.science.mixed.ordinal.crossed import fit_ordinal_mixed
from proofpan.science.mixed.ordinal.cumulative import OrdinalFit, fit_ordinal

__all__ = ["Comparison", "OrdinalFit", "compare_with_gaussian", "fit_ordinal", "fit_ordinal_mixed"]
