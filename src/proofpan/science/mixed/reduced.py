"""Fitting what the data can tell apart, and saying what was left out and why."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from proofpan.science.mixed.fit import Fit, fit_reml
from proofpan.science.mixed.model import Model, TermRefused


@dataclass(frozen=True, eq=False)
class ReducedFit:
    """A fit and the random terms that had to be left out of it.

    Attributes:
        fit: the fit of what remains.
        left_out: (term, why) in the order in which they were dropped; empty when the model was fitted as stated.
    """

    fit: Fit
    left_out: tuple[tuple[str, str], ...]


def fit_what_can_be_told(data: Mapping[str, Sequence[Any]], model: Model) -> ReducedFit:
    """Fit a model, leaving out random terms that can't be told from another term, the fixed part or the residual.

    One taster, one load or one trial of each version are ordinary in a kitchen. What is left out is no longer part of
    the intervals: a trial for each version means that they speak of these trials, not of the version made again.

    Parameters: as for `fit_reml`.
    Raises: MixedError for anything but such a term.
    """
    left_out: list[tuple[str, str]] = []
    while True:
        try:
            return ReducedFit(fit_reml(data, model), tuple(left_out))
        except TermRefused as refused:
            left_out.append((refused.term, str(refused)))
            model = _without(model, refused.term)


def _without(model: Model, term: str) -> Model:
    """The model without the last statement of a random term."""
    for i in reversed(range(len(model.random_slopes))):
        if model.random_slopes[i].group == term and term not in model.random:
            return replace(model, random_slopes=model.random_slopes[:i] + model.random_slopes[i + 1 :])
    last = len(model.random) - 1 - model.random[::-1].index(term)
    return replace(model, random=model.random[:last] + model.random[last + 1 :])
