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
from functools import cached_property

import numpy as np
from scipy.linalg.lapack import dpotrf, dpotri

from proofpan.science.mixed.grouping import Layout, spread
from proofpan.science.mixed.model import Array, MixedError


class Sums:
    """F'H₀⁻¹F and its derivatives over the clusters, H₀ being H without the border, F = [B X y]."""

    def __init__(self, layout: Layout, factors: Sequence[Array]) -> None:
        self.layout = layout
        self.log_det = 0.0
        self.M = layout.FF.copy()
        self._T: list[Array] = []
        for batch in layout.batches:
            L = spread(factors, batch.places, batch.ZZ.shape[1])
            inside = L.T @ batch.ZZ @ L
            diagonal = np.arange(len(L))
            inside[:, diagonal, diagonal] += 1.0
            C = np.linalg.cholesky(inside)
            self.log_det += 2.0 * float(batch.count @ np.log(C[:, diagonal, diagonal]).sum(axis=1))
            half = np.linalg.solve(C, np.broadcast_to(L.T, C.shape))
            T = half.transpose(0, 2, 1) @ half
            self.M -= folded(batch.ZF, T @ batch.ZF)
            self.M[-1, -1] -= np.sum(T * batch.scatter)
            self._T.append(T)

    @cached_property
    def derivatives(self) -> tuple[Array, Array, Array, Array]:
        """t_i = tr(H₀⁻¹G_i), t_ij = tr(H₀⁻¹G_iH₀⁻¹G_j), M_i = F'H₀⁻¹G_iH₀⁻¹F, M_ij = F'H₀⁻¹G_iH₀⁻¹G_jH₀⁻¹F.

        With A = Z'H₀⁻¹Z and W = Z'H₀⁻¹F, G_i = Z E_i Z' gives M_i = W'E_iW and M_ij = W'E_iAE_jW (its symmetric part).
        """
        k, f = self.layout.inner_parameters, len(self.M)
        t, tt = np.zeros(k), np.zeros((k, k))
        M1, M2 = np.zeros((k, f, f)), np.zeros((k, k, f, f))
        for batch, T in zip(self.layout.batches, self._T, strict=True):
            J = -batch.ZZ @ T
            diagonal = np.arange(J.shape[1])
            J[:, diagonal, diagonal] += 1.0
            A, W, E = J @ batch.ZZ, J @ batch.ZF, batch.units[:, None]
            left_over = J @ batch.scatter @ J.transpose(0, 2, 1)
            EA, EW, ER = E @ A, E @ W, E @ left_over
            AEW = A @ EW
            turned = EA.transpose(0, 1, 3, 2).reshape(k, -1)
            t += np.einsum("kcaa,c->k", EA, batch.count)
            tt += (EA * batch.count[:, None, None]).reshape(k, -1) @ turned.T
            M1[:, -1, -1] += np.einsum("kcaa->k", ER)
            M2[:, :, -1, -1] += turned @ ER.reshape(k, -1).T
            flat = W.reshape(-1, f).T
            columns = EW.transpose(0, 3, 1, 2).reshape(k, f, -1)
            M1 += flat @ EW.reshape(k, -1, f)
            product = columns[:, None] @ AEW.reshape(k, -1, f)[None]
            M2 += (product + product.transpose(0, 1, 3, 2)) / 2.0
        return t, tt, M1, M2


def folded(left: Array, right: Array) -> Array:
    """Σ over types of left'right, shape (f, f)."""
    f = left.shape[2]
    return left.reshape(-1, f).T @ right.reshape(-1, f)


class Restricted:
    """The restricted likelihood at given relative covariance factors.

    Parameters: layout, the sums; inner, outer, a lower-triangular factor for each term in clusters and border.
    """

    def __init__(self, layout: Layout, inner: Sequence[Array], outer: Sequence[Array]) -> None:
        self.layout = layout
        self.sums = Sums(layout, inner)
        b, g = layout.border, layout.border + layout.fixed
        N, m = self.sums.M[:g, :g], self.sums.M[:g, g]
        self.L = spread(outer, layout.places, b)
        K = N
        if b:
            K = N.copy()
            K[:b] = self.L.T @ K[:b]
            K[:, :b] = K[:, :b] @ self.L
            K[np.arange(b), np.arange(b)] += 1.0
        C, info = dpotrf(K, lower=1)
        if info:
            raise MixedError("the fixed part can't be told apart from itself: a column repeats what others say")
        inverse = dpotri(C, lower=1)[0]
        Gamma = np.tril(inverse) + np.tril(inverse, -1).T
        if b:
            Gamma[:b] = self.L @ Gamma[:b]
            Gamma[:, :b] = Gamma[:, :b] @ self.L.T
        self.log_det = self.sums.log_det + 2.0 * float(np.log(C.diagonal()).sum())
        self.Gamma = Gamma
        self.effects = Gamma @ m
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
        b, g = self.layout.border, self.layout.border + self.layout.fixed
        t, tt, M1, M2 = self.sums.derivatives
        Gamma, w = self.Gamma, np.append(-self.effects, 1.0)
        GN, Mw = Gamma @ M1[:, :g, :g], M1 @ w
        first, square = t - np.einsum("kaa->k", GN), Mw @ w
        second = tt - 2.0 * np.einsum("ab,ijab->ij", Gamma, M2[:, :, :g, :g]) + _traces(GN, GN)
        fourth = M2 @ w @ w - Mw[:, :g] @ Gamma @ Mw[:, :g].T
        if not b:
            return first, square, second, fourth
        E, M, Psi = self.layout.units, self.sums.M, self.border_response
        Q, s = M[:b, :g] @ Psi, M[:b] @ w
        EQ, Es = E @ Q, E @ s
        across = _traces(E, Psi.T @ M1[:, :g, :g] @ Psi)
        across4 = Es @ Psi.T @ Mw[:, :g].T
        return (
            np.concatenate([first, np.einsum("kaa->k", EQ)]),
            np.concatenate([square, Es @ s]),
            np.block([[second, across.T], [across, _traces(EQ, EQ)]]),
            np.block([[fourth, across4.T], [across4, Es @ Q @ Es.T]]),
        )

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
        return np.concatenate([inner, X @ self.layout.units @ X.T])

    def expected_pieces(self) -> tuple[Array, Array]:
        """X'H⁻¹G_iH⁻¹X and the symmetric part of X'H⁻¹G_iH⁻¹G_jH⁻¹X, for Kenward and Roger's adjustment."""
        b, g = self.layout.border, self.layout.border + self.layout.fixed
        _, _, M1, M2 = self.sums.derivatives
        M = self.sums.M
        K = self.L.T @ M[:b, :b] @ self.L + np.eye(b)
        half = np.linalg.solve(np.linalg.cholesky(K), self.L.T)
        own = half.T @ half
        Omega = np.vstack([-own @ M[:b, b:g], np.eye(g - b)])
        within = Omega.T @ M1[:, :g, :g] @ Omega
        left = Omega.T @ M1[:, :g, :b]
        inner = Omega.T @ M2[:, :, :g, :g] @ Omega - (left @ own)[:, None] @ left.transpose(0, 2, 1)[None]
        across_border = M[b:g, :b] - M[b:g, :b] @ own @ M[:b, :b]  # X'H⁻¹B
        Q = M[:b, :b] - M[:b, :b] @ own @ M[:b, :b]
        Psi = np.vstack([np.eye(b) - own @ M[:b, :b], np.zeros((g - b, b))])
        E = self.layout.units
        XE = across_border @ E
        outer = (XE @ Q)[:, None] @ XE.transpose(0, 2, 1)[None]
        mixed = (Omega.T @ M1[:, :g, :g] @ Psi)[:, None] @ XE.transpose(0, 2, 1)[None]
        twice = np.concatenate(
            [
                np.concatenate([inner, mixed], axis=1),
                np.concatenate([mixed.transpose(1, 0, 3, 2), outer], axis=1),
            ]
        )
        return np.concatenate([within, XE @ across_border.T]), (twice + twice.transpose(0, 1, 3, 2)) / 2.0


def _traces(left: Array, right: Array) -> Array:
    """tr(left_i right_j) for every pair."""
    size = left.shape[1] * left.shape[2]
    return left.reshape(len(left), size) @ right.transpose(0, 2, 1).reshape(len(right), size).T
