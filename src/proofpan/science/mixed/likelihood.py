"""The restricted likelihood with its exact first and second derivatives in the variances.

Everything is relative to the residual variance: H = I + Σ Z Σ_k Z', V = σ²H. The clusters are eliminated first, then
the border and the fixed columns together (the latter as effects of unlimited variance). Notation: G_i = ∂H/∂ρ_i,
P = H⁻¹ − H⁻¹X(X'H⁻¹X)⁻¹X'H⁻¹.
Sources: Harville 1977 (JASA 72:320), eqs. for REML derivatives; Henderson 1953 for the mixed-model equations;
Bates et al. 2015 (J. Stat. Softw. 67(1)), eq. 42, for the profiled criterion.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from scipy.linalg import cho_factor, cho_solve, solve_triangular

from proofpan.science.mixed.grouping import Batch, Layout, RandomTerm
from proofpan.science.mixed.model import Array, Codes, MixedError


@dataclass(frozen=True, eq=False)
class Parameter:
    """One variance or covariance, relative to the residual variance: element (a, b), a ≥ b, of a term's matrix."""

    term: int
    a: int
    b: int


def parameters(terms: Sequence[RandomTerm]) -> tuple[Parameter, ...]:
    """Lower triangles of the terms' matrices, term by term, row by row."""
    return tuple(Parameter(k, a, b) for k, term in enumerate(terms) for a in range(term.size) for b in range(a + 1))


def _unit(where: Codes, parameter: Parameter, size: int) -> Array:
    """∂(block covariance)/∂(parameter) as a matrix over the columns of a batch or of the border."""
    E = np.zeros((size, size))
    E[where[:, parameter.a], where[:, parameter.b]] = 1.0
    E[where[:, parameter.b], where[:, parameter.a]] = 1.0
    return E


def _spread(factors: Sequence[Array], places: Sequence[Codes], size: int) -> Array:
    """Block-diagonal Cholesky factor over the columns: each level of a term has its term's factor."""
    L = np.zeros((size, size))
    for factor, where in zip(factors, places, strict=True):
        for a in range(len(factor)):
            for b in range(a + 1):
                L[where[:, a], where[:, b]] = factor[a, b]
    return L


class Sums:
    """F'H₀⁻¹F and its derivatives over the clusters, H₀ being H without the border, F = [B X y]."""

    def __init__(self, layout: Layout, factors: Sequence[Array]) -> None:
        self.layout = layout
        self.inner = [p for p in parameters(layout.inner)]
        self.log_det = 0.0
        self.M = layout.FF.copy()
        self._pieces: list[tuple[Batch, Array, Array]] = []
        for batch in layout.batches:
            q = batch.ZZ.shape[1]
            L = _spread(factors, batch.places, q)
            inside = L.T @ batch.ZZ @ L + np.eye(q)
            C = np.linalg.cholesky(inside)
            self.log_det += 2.0 * float(batch.count @ np.log(np.diagonal(C, axis1=1, axis2=2)).sum(axis=1))
            T = L @ np.linalg.solve(inside, np.broadcast_to(L.T, inside.shape))
            T = (T + T.transpose(0, 2, 1)) / 2.0
            self.M -= _folded(batch, T)
            self._pieces.append((batch, T, L))

    @cached_property
    def derivatives(self) -> tuple[Array, Array, Array, Array]:
        """t_i = tr(H₀⁻¹G_i), t_ij = tr(H₀⁻¹G_iH₀⁻¹G_j), M_i = F'H₀⁻¹G_iH₀⁻¹F, M_ij = F'H₀⁻¹G_iH₀⁻¹G_jH₀⁻¹F."""
        k, f = len(self.inner), len(self.M)
        t, tt = np.zeros(k), np.zeros((k, k))
        M1, M2 = np.zeros((k, f, f)), np.zeros((k, k, f, f))
        for batch, T, _ in self._pieces:
            q = batch.ZZ.shape[1]
            J = np.eye(q) - batch.ZZ @ T
            A = J @ batch.ZZ
            E = [_unit(batch.places[p.term], p, q) for p in self.inner]
            EA = [e @ A for e in E]
            EJ = [e @ J for e in E]
            for i in range(k):
                t[i] += batch.count @ np.trace(EA[i], axis1=1, axis2=2)
                M1[i] += _folded(batch, J.transpose(0, 2, 1) @ EJ[i])
                for j in range(i + 1):
                    tt[i, j] += batch.count @ np.einsum("tab,tba->t", EA[i], EA[j])
                    kernel = EJ[i].transpose(0, 2, 1) @ A @ EJ[j]
                    M2[i, j] += _folded(batch, (kernel + kernel.transpose(0, 2, 1)) / 2.0)
        for i in range(k):
            for j in range(i):
                tt[j, i], M2[j, i] = tt[i, j], M2[i, j]
        return t, tt, M1, M2


def _folded(batch: Batch, kernel: Array) -> Array:
    """Σ over clusters of (Z'F)' kernel (Z'F), shape (f, f); kernel symmetric, shape (types, q, q)."""
    g = batch.ZF.shape[2]
    half = kernel @ batch.ZF
    total = np.empty((g + 1, g + 1))
    weighted = batch.ZF * batch.count[:, None, None]
    total[:g, :g] = weighted.reshape(-1, g).T @ half.reshape(-1, g)
    total[:g, g] = total[g, :g] = half.reshape(-1, g).T @ batch.Zy_sum.reshape(-1)
    total[g, g] = np.sum(kernel * batch.Zy_square)
    return total


class Restricted:
    """The restricted likelihood at given relative covariance factors.

    Parameters: layout, the sums; inner, outer, a lower-triangular factor for each term in clusters and border.
    """

    def __init__(self, layout: Layout, inner: Sequence[Array], outer: Sequence[Array]) -> None:
        self.layout = layout
        self.sums = Sums(layout, inner)
        b, g = layout.border, layout.border + layout.fixed
        self.L = _spread(outer, layout.places, b)
        N, m = self.sums.M[:g, :g], self.sums.M[:g, g]
        J = np.eye(g)
        J[:b, :b] = self.L
        K = J.T @ N @ J
        K[np.arange(b), np.arange(b)] += 1.0
        try:
            factor = cho_factor(K, lower=True)
        except np.linalg.LinAlgError:
            raise MixedError("the fixed part can't be told apart from itself: a column repeats what others say") from None
        self.log_det = self.sums.log_det + 2.0 * float(np.log(np.diagonal(factor[0])).sum())
        self.Gamma = J @ cho_solve(factor, J.T)
        self.effects = self.Gamma @ m
        self.yPy = float(self.sums.M[g, g] - m @ self.effects)
        self.freedom = layout.rows - layout.fixed

    @property
    def deviance(self) -> float:
        """−2 log restricted likelihood with σ² profiled out: log|H| + log|X'H⁻¹X| + ν(1 + log(2π y'Py/ν)), ν = n − p."""
        if self.yPy <= 0:
            return math.inf
        return self.log_det + self.freedom * (1.0 + math.log(2.0 * math.pi * self.yPy / self.freedom))

    @cached_property
    def pieces(self) -> tuple[Array, Array, Array, Array]:
        """tr(PG_i), y'PG_iPy, tr(PG_iPG_j), y'PG_iPG_jPy over the parameters, those in clusters first."""
        layout, b, g = self.layout, self.layout.border, self.layout.border + self.layout.fixed
        t, tt, M1, M2 = self.sums.derivatives
        k, outer = len(t), parameters(layout.outer)
        M, Gamma = self.sums.M, self.Gamma
        w = np.append(-self.effects, 1.0)
        E = [_unit(layout.places[p.term], p, b) for p in outer]
        Psi = self.border_response
        Q, s = M[:b, :g] @ Psi, M[:b] @ w
        first, square = np.zeros(k + len(E)), np.zeros(k + len(E))
        second, fourth = np.zeros((k + len(E),) * 2), np.zeros((k + len(E),) * 2)
        GN = [Gamma @ M1[i, :g, :g] for i in range(k)]
        Mw = [M1[i] @ w for i in range(k)]
        EQ, Es = [e @ Q for e in E], [e @ s for e in E]
        for i in range(k):
            first[i], square[i] = t[i] - np.trace(GN[i]), w @ Mw[i]
            for j in range(i + 1):
                second[i, j] = tt[i, j] - 2.0 * np.sum(Gamma * M2[i, j, :g, :g]) + np.sum(GN[i] * GN[j].T)
                fourth[i, j] = w @ M2[i, j] @ w - Mw[i][:g] @ Gamma @ Mw[j][:g]
        for a in range(len(E)):
            first[k + a], square[k + a] = np.trace(EQ[a]), s @ Es[a]
            for i in range(k):
                second[k + a, i] = np.sum(E[a] * (Psi.T @ M1[i, :g, :g] @ Psi))
                fourth[k + a, i] = Mw[i][:g] @ Psi @ Es[a]
            for c in range(a + 1):
                second[k + a, k + c] = np.sum(EQ[a] * EQ[c].T)
                fourth[k + a, k + c] = Es[a] @ Q @ Es[c]
        low = np.tril_indices(k + len(E), -1)
        second.T[low], fourth.T[low] = second[low], fourth[low]
        return first, square, second, fourth

    @cached_property
    def border_response(self) -> Array:
        """Ψ = (I − ΓN) over the border's columns, so that H⁻¹B less its fixed part is H₀⁻¹[B X]Ψ."""
        b, g = self.layout.border, self.layout.border + self.layout.fixed
        Psi = -self.Gamma @ self.sums.M[:g, :b]
        Psi[np.arange(b), np.arange(b)] += 1.0
        return Psi

    def slopes(self) -> tuple[Array, Array]:
        """Gradient and Hessian of the profiled deviance in the relative variances."""
        first, square, second, fourth = self.pieces
        nu = self.freedom / self.yPy
        return first - nu * square, -second + nu * (2.0 * fourth - np.outer(square, square) / self.yPy)

    def coefficient_covariance_slopes(self) -> Array:
        """∂(X'H⁻¹X)⁻¹/∂ρ_i, shape (parameters, fixed, fixed)."""
        b, g = self.layout.border, self.layout.border + self.layout.fixed
        M1 = self.sums.derivatives[2]
        inner = self.Gamma[b:] @ M1[:, :g, :g] @ self.Gamma[:, b:]
        X = self.border_response[b:]
        outer = [X @ _unit(self.layout.places[p.term], p, b) @ X.T for p in parameters(self.layout.outer)]
        return np.concatenate([inner, np.array(outer).reshape(len(outer), *inner.shape[1:])])

    def expected_pieces(self) -> tuple[Array, Array]:
        """X'H⁻¹G_iH⁻¹X and the symmetric part of X'H⁻¹G_iH⁻¹G_jH⁻¹X, for Kenward and Roger's adjustment."""
        b, g = self.layout.border, self.layout.border + self.layout.fixed
        _, _, M1, M2 = self.sums.derivatives
        M, k = self.sums.M, len(M1)
        K = self.L.T @ M[:b, :b] @ self.L + np.eye(b)
        half = solve_triangular(np.linalg.cholesky(K), self.L.T, lower=True) if b else np.zeros((0, 0))
        own = half.T @ half
        Omega = np.vstack([-own @ M[:b, b:g], np.eye(g - b)])
        Xt = M[b:g, :b] - M[b:g, :b] @ own @ M[:b, :b]
        Q = M[:b, :b] - M[:b, :b] @ own @ M[:b, :b]
        Psi = np.vstack([np.eye(b) - own @ M[:b, :b], np.zeros((g - b, b))])
        E = [_unit(self.layout.places[p.term], p, b) for p in parameters(self.layout.outer)]
        number, p = k + len(E), g - b
        once, twice = np.zeros((number, p, p)), np.zeros((number, number, p, p))
        for i in range(k):
            once[i] = Omega.T @ M1[i, :g, :g] @ Omega
            for j in range(i + 1):
                left, right = Omega.T @ M1[i, :g, :b], M1[j, :b, :g] @ Omega
                twice[i, j] = Omega.T @ M2[i, j, :g, :g] @ Omega - left @ own @ right
        for a in range(len(E)):
            once[k + a] = Xt @ E[a] @ Xt.T
            for i in range(k):
                twice[k + a, i] = Omega.T @ M1[i, :g, :g] @ Psi @ E[a] @ Xt.T
            for c in range(a + 1):
                twice[k + a, k + c] = Xt @ E[a] @ Q @ E[c] @ Xt.T
        twice = (twice + twice.transpose(0, 1, 3, 2)) / 2.0
        for i in range(number):
            for j in range(i):
                twice[j, i] = twice[i, j]
        return once, twice
