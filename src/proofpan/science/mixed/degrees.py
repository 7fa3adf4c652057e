"""How sure the standard errors are: Satterthwaite's and Kenward and Roger's degrees of freedom.

Sources: Satterthwaite 1946 (Biometrics Bull. 2:110); Giesbrecht & Burns 1985 (Biometrics 41:477); Fai & Cornelius 1996
(J. Stat. Comput. Simul. 54:363) for several degrees of freedom; Kenward & Roger 1997 (Biometrics 53:983).
"""

from __future__ import annotations

import math
import weakref
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from proofpan.science.mixed.fit import Fit
from proofpan.science.mixed.model import Array, MixedError

SATTERTHWAITE, KENWARD_ROGER = "satterthwaite", "kenward_roger"


@dataclass(frozen=True, eq=False)
class FTest:
    """A joint test: numerator and denominator degrees of freedom and F."""

    num_df: int
    den_df: float
    F: float


class Satterthwaite:
    """Variances of estimates and their degrees of freedom from the observed information of the restricted likelihood.

    Derivatives are in the Cholesky factors and σ². Where a variance is zero the criterion is flat in its factor to
    first order, so that the degrees of freedom are those of the model without it.
    """

    def __init__(self, fit: Fit) -> None:
        here, search, x = fit.here, fit.search, fit.point
        sigma2, nu = fit.residual, here.freedom
        first, square, second, fourth = here.pieces
        k = len(x)
        H = np.zeros((k + 1, k + 1))
        H[k, k] = nu / sigma2**2
        if k:
            J = search.chain(x)
            H[:k, :k] = J.T @ (2.0 * fourth / sigma2 - second) @ J + search.bend(first - square / sigma2)
            H[k, :k] = H[:k, k] = J.T @ square / sigma2**2
            slopes = np.einsum("ij,iab->jab", J, here.coefficient_covariance_slopes())
        else:
            slopes = np.zeros((0, here.layout.fixed, here.layout.fixed))
        self.covariance = fit.covariance
        self.information = _pseudo_inverse(H) * 2.0
        back = fit.back
        self.slopes = np.concatenate([sigma2 * back @ slopes @ back.T, fit.covariance[None] / sigma2])

    def variances(self, L: Array) -> tuple[Array, Array]:
        """Variance and degrees of freedom of each row of L, shape (contrasts, p), times the coefficients."""
        v = np.einsum("ca,ab,cb->c", L, self.covariance, L)
        g = np.einsum("ca,iab,cb->ci", L, self.slopes, L)
        spread = np.einsum("ci,ij,cj->c", g, self.information, g)
        with np.errstate(divide="ignore", invalid="ignore"):
            return v, 2.0 * v**2 / spread

    def joint(self, L: Array, beta: Array) -> FTest:
        """Test that L times the coefficients is zero (Fai & Cornelius 1996)."""
        size, axes = np.linalg.eigh(L @ self.covariance @ L.T)
        rows = axes.T @ L
        _, df = self.variances(rows)
        q = len(L)
        F = float(np.mean((rows @ beta) ** 2 / size))
        if q == 1:
            return FTest(1, float(df[0]), F)
        E = float(np.sum(df[df > 2] / (df[df > 2] - 2.0)))
        return FTest(q, 2.0 * E / (E - q) if q < E else float(df.min()), F)


def _pseudo_inverse(H: Array) -> Array:
    """Inverse of the information over the directions in which it has any, scaled so that units don't matter."""
    scale = np.sqrt(np.maximum(np.abs(np.diag(H)), 1e-300))
    size, axes = np.linalg.eigh(H / np.outer(scale, scale))
    use = size > 1e-8 * max(1.0, float(size.max()))
    kept = axes[:, use]
    return (kept / size[use]) @ kept.T / np.outer(scale, scale)


class KenwardRoger:
    """Small-sample covariance of the coefficients and scaled F tests (Kenward & Roger 1997), linear variances.

    A variance that is zero is left out of the model first; a covariance matrix of reduced rank can't be treated.
    """

    def __init__(self, fit: Fit) -> None:
        here, sigma2, back = fit.here, fit.residual, fit.back
        factors = fit.search.factors(fit.point)
        use = []
        for i, p in enumerate(fit.search.parameters):
            weakest = float(np.linalg.svd(factors[p.term], compute_uv=False)[-1])
            if weakest >= 1e-5:
                use.append(i)
            elif len(factors[p.term]) > 1:
                raise MixedError(
                    f"the covariance matrix by {fit.search.terms[p.term].group!r} isn't of full rank, so Kenward–Roger "
                    "can't be worked out; use satterthwaite or uncorrelated slopes"
                )
        if use:
            once, twice = here.expected_pieces()
            once, twice = once[use], twice[np.ix_(use, use)]
            first, _, second, _ = here.pieces
            first, second = first[use], second[np.ix_(use, use)]
        else:
            once, twice = np.zeros((0, *back.shape)), np.zeros((0, 0, *back.shape))
            first, second = np.zeros(0), np.zeros((0, 0))
        rho = np.array([_relative(factors, fit, i) for i in use])
        # the residual's terms follow from H = I + Σ ρ_i G_i
        size = len(back)
        precision = np.linalg.inv(here.Gamma[here.layout.border :, here.layout.border :])
        once_r = precision - np.tensordot(rho, once, 1)
        mixed = [once[i] - np.tensordot(rho, twice[i], 1) for i in range(len(use))]
        twice_r = once_r - (np.tensordot(rho, np.array(mixed).reshape(-1, size, size), 1) if use else 0.0)
        second_r = first - second @ rho
        first_r = here.freedom - rho @ first
        P = -np.concatenate([once, once_r[None]])
        Q = np.empty((len(P), len(P), size, size))
        Q[:-1, :-1], Q[-1, -1] = twice, twice_r
        for i in range(len(use)):
            Q[i, -1] = Q[-1, i] = mixed[i]
        information = np.empty((len(P), len(P)))
        information[:-1, :-1], information[-1, -1] = second, first_r - rho @ second_r
        information[-1, :-1] = information[:-1, -1] = second_r
        self.W = 2.0 * np.linalg.inv(information)  # covariance of the variance estimates over σ⁴
        Phi = here.Gamma[here.layout.border :, here.layout.border :]
        inside = sum(self.W[i, j] * (Q[i, j] - P[i] @ Phi @ P[j]) for i in range(len(P)) for j in range(len(P)))
        self.plain = fit.covariance
        self.covariance = sigma2 * back @ (Phi + 2.0 * Phi @ inside @ Phi) @ back.T
        self.bends = np.array([back @ Phi @ each @ Phi @ back.T for each in P])
        self.sigma2 = sigma2

    def variances(self, L: Array) -> tuple[Array, Array]:
        """Adjusted variance and degrees of freedom of each row of L times the coefficients."""
        v = np.einsum("ca,ab,cb->c", L, self.covariance, L)
        df = np.array([2.0 / self._sizes(row[None])[1] for row in L])
        if not (np.all(df > 0) and np.all(v > 0)):
            raise MixedError("next to no residual variation is left, so Kenward–Roger can't be worked out; use satterthwaite")
        return v, df

    def _sizes(self, L: Array) -> tuple[float, float]:
        inverse = np.linalg.inv(L @ (self.plain / self.sigma2) @ L.T)
        B = np.array([inverse @ L @ bend @ L.T for bend in self.bends])
        trace = np.trace(B, axis1=1, axis2=2)
        a1 = float(trace @ self.W @ trace)
        a2 = float(np.einsum("ij,iab,jba->", self.W, B, B))
        return a1, a2

    def joint(self, L: Array, beta: Array) -> FTest:
        """Scaled F test that L times the coefficients is zero."""
        q = len(L)
        a1, a2 = self._sizes(L)
        effect = L @ beta
        F = float(effect @ np.linalg.solve(L @ self.covariance @ L.T, effect)) / q
        if q == 1:
            return FTest(1, 2.0 / a2, F)
        B = (a1 + 6.0 * a2) / (2.0 * q)
        g = ((q + 1.0) * a1 - (q + 4.0) * a2) / ((q + 2.0) * a2)
        below = 3.0 * q + 2.0 * (1.0 - g)
        c1, c2, c3 = g / below, (q - g) / below, (q + 2.0 - g) / below
        shrunk, below = 1.0 - a2 / q, 1.0 - c2 * B
        ratio = shrunk / below if abs(below) > 1e-10 else 1.0  # the limit, where both vanish
        rho = ratio**2 * (1.0 + c1 * B) / (1.0 - c3 * B) / q
        over = q * rho - 1.0
        m = 4.0 + (q + 2.0) / over if over else math.inf
        if not 0.0 < m < math.inf:  # too few groups for the expansion: the least sure single contrast speaks
            return FTest(q, float(self.variances(L)[1].min()), F)
        return FTest(q, m, F * m * shrunk / (m - 2.0) if abs(m - 2.0) > 1e-2 and shrunk / (m - 2.0) > 0 else F)


def _relative(factors: list[Array], fit: Fit, index: int) -> float:
    p = fit.search.parameters[index]
    factor = factors[p.term]
    return float(factor[p.a] @ factor[p.b])


Reference = Satterthwaite | KenwardRoger
_MADE: weakref.WeakKeyDictionary[Fit, dict[str, Reference]] = weakref.WeakKeyDictionary()


def reference(fit: Fit, df_method: str) -> Reference:
    """The fit's variances and degrees of freedom by `satterthwaite` or `kenward_roger`; worked out once a fit."""
    makers: dict[str, Callable[[Fit], Reference]] = {SATTERTHWAITE: Satterthwaite, KENWARD_ROGER: KenwardRoger}
    if df_method not in makers:
        raise MixedError(f"df_method is {df_method!r}; it is 'satterthwaite' or 'kenward_roger'")
    made = _MADE.setdefault(fit, {})
    if df_method not in made:
        made[df_method] = makers[df_method](fit)
    return made[df_method]
