"""The highest point of the restricted likelihood, by Newton steps on the Cholesky factors from several starts.

In the factors the criterion is even at a zero, so a variance that belongs on the boundary is reached in a few steps and
a zero from which the likelihood still rises shows as a direction of negative curvature, along which the search goes on.
"""

from __future__ import annotations

import numpy as np

from proofpan.science.mixed.grouping import Layout, parameters
from proofpan.science.mixed.likelihood import Restricted
from proofpan.science.mixed.model import Array, MixedError

STEPS = 200
FLAT = 1e-13
NEXT_DOOR = 0.1
LARGEST = 1e5  # a relative sd beyond this means that the residual is nothing but rounding


class Search:
    """The criterion as a function of the stacked lower-triangular factors, cluster terms first."""

    def __init__(self, layout: Layout) -> None:
        self.layout = layout
        self.terms = (*layout.inner, *layout.outer)
        self.parameters = parameters(self.terms)
        self.on_diagonal = np.array([p.a == p.b for p in self.parameters], dtype=bool)

    def factors(self, x: Array) -> list[Array]:
        """Lower-triangular factor of each term."""
        found = [np.zeros((term.size, term.size)) for term in self.terms]
        for value, p in zip(x, self.parameters, strict=True):
            found[p.term][p.a, p.b] = value
        return found

    def at(self, x: Array) -> Restricted:
        """The likelihood at these factors."""
        factors = self.factors(x)
        cut = len(self.layout.inner)
        return Restricted(self.layout, factors[:cut], factors[cut:])

    def chain(self, x: Array) -> Array:
        """∂(variance parameters)/∂(factor elements): Σ = ΛΛ', so ∂Σ_rs/∂Λ_at = δ_ra Λ_st + δ_sa Λ_rt."""
        factors, J = self.factors(x), np.zeros((len(x), len(x)))
        for row, p in enumerate(self.parameters):
            for column, e in enumerate(self.parameters):
                if p.term == e.term:
                    L = factors[p.term]
                    J[row, column] = (p.a == e.a) * L[p.b, e.b] + (p.b == e.a) * L[p.a, e.b]
        return J

    def bend(self, gradient: Array) -> Array:
        """Σ_i gradient_i ∂²(variance parameter i)/∂(factor elements)²."""
        at = {(p.term, p.a, p.b): i for i, p in enumerate(self.parameters)}
        H = np.zeros((len(gradient), len(gradient)))
        for i, e in enumerate(self.parameters):
            for j, f in enumerate(self.parameters):
                if e.term == f.term and e.b == f.b:
                    value = gradient[at[(e.term, max(e.a, f.a), min(e.a, f.a))]]
                    H[i, j] = 2.0 * value if e.a == f.a else value
        return H

    def slopes(self, x: Array, here: Restricted) -> tuple[Array, Array]:
        """Gradient and Hessian of the profiled deviance in the factors."""
        g, H = here.slopes()
        J = self.chain(x)
        return J.T @ g, J.T @ H @ J + self.bend(g)

    def climb(self, x: Array, known: Array | None = None) -> tuple[float, Array]:
        """From a start to a point of zero slope and no negative curvature, or to where `known` is next door."""
        here = self.at(x)
        value = here.deviance
        for _ in range(STEPS):
            if known is not None and np.all(np.abs(np.abs(x) - np.abs(known)) < NEXT_DOOR * (1.0 + np.abs(known))):
                return value, known
            if np.abs(x).max() > LARGEST:
                break
            g, H = self.slopes(x, here)
            size, axes = np.linalg.eigh(H)
            along = axes.T @ g
            floor = 1e-8 * max(1.0, float(np.abs(size).max()))
            step = -axes @ (along / np.maximum(np.abs(size), floor))
            if -step @ g < FLAT * max(1.0, abs(value)):
                if size[0] > -floor * 100:
                    x = x + step  # the height is flat to rounding here, the slope isn't yet
                    break
                step = axes[:, 0] * 0.3 * (1.0 if axes[:, 0].sum() >= 0 else -1.0)
            else:
                longest = np.abs(step / (np.abs(x) + 0.5)).max()
                step /= max(1.0, longest / 2.0)
            moved = False
            for _ in range(40):
                trial = self.at(x + step)
                if trial.deviance < value:
                    x, here, value, moved = x + step, trial, trial.deviance, True
                    break
                step = step / 3.0
            if not moved:
                break
        return value, self.tidy(x, value)

    def tidy(self, x: Array, value: float) -> Array:
        """Positive diagonals, and exact zeros where the criterion is no worse for them."""
        x = x.copy()
        for i in np.flatnonzero(self.on_diagonal & (x < 0)):
            p = self.parameters[i]
            for j, e in enumerate(self.parameters):
                if e.term == p.term and e.b == p.b:
                    x[j] = -x[j]
        for i in np.flatnonzero(self.on_diagonal & (np.abs(x) < 1e-4) & (x != 0)):
            trial = x.copy()
            trial[i] = 0.0
            if self.at(trial).deviance <= value + 1e-10 * max(1.0, abs(value)):
                x = trial
        return x


def starts(search: Search) -> list[Array]:
    """Relative sds to start from: all alike, then each term the main one (one term: a large and a small one)."""
    found = [np.where(search.on_diagonal, 1.0, 0.0)]
    if len(search.terms) == 1:
        return [*found, 0.1 * found[0]]
    term = np.array([p.term for p in search.parameters])
    return found + [found[0] * np.where(term == k, 1.0, 0.1) for k in range(len(search.terms))]


def highest(layout: Layout) -> tuple[Search, Array]:
    """The factors at the highest restricted likelihood found from several starts.

    Raises: MixedError when the response shows no residual variation, so that the likelihood has no highest point.
    """
    search = Search(layout)
    best = np.zeros(len(search.parameters))
    best_value, known = search.at(best).deviance, None
    for start in starts(search) if len(best) else ():
        value, x = search.climb(start, known)
        if value < best_value - 1e-10 * max(1.0, abs(value)):
            best_value, best = value, x
            known = x
    if not np.isfinite(best_value) or np.abs(best).max(initial=0.0) > LARGEST:
        raise MixedError("rows of a group are exactly alike: there is no residual variation to judge differences by")
    return search, best
