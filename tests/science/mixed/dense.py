"""A second, plain implementation to check against: whole matrices, textbook formulas, no structure used.

V = σ²I + Σ_i θ_i G_i; everything follows from V, its inverse and traces (Harville 1977; Kenward & Roger 1997).
"""

import numpy as np
from scipy.optimize import minimize
from scipy.stats import f as f_law
from scipy.stats import t as t_law


def matrices(groups):
    """The G of a random intercept for each grouping (a list of group codes)."""
    return [np.equal.outer(np.asarray(g), np.asarray(g)).astype(float) for g in groups]


class Dense:
    """Restricted likelihood at variances theta (one a grouping, residual last)."""

    def __init__(self, X, y, G, theta):
        n, self.p = X.shape
        self.X, self.y, self.G = X, y, [*G, np.eye(n)]
        V = sum(t * g for t, g in zip(theta, self.G, strict=True))
        self.Vi = np.linalg.inv(V)
        self.C = np.linalg.inv(X.T @ self.Vi @ X)
        self.P = self.Vi - self.Vi @ X @ self.C @ X.T @ self.Vi
        self.beta = self.C @ X.T @ self.Vi @ y
        r = y - X @ self.beta
        logs = np.linalg.slogdet(V)[1] - np.linalg.slogdet(self.C)[1]
        self.loglik = -0.5 * (logs + r @ self.Vi @ r + (n - self.p) * np.log(2 * np.pi))

    def gradient(self):
        """Of the log-likelihood in the variances."""
        Py = self.P @ self.y
        return np.array([-0.5 * np.sum(self.P * g) + 0.5 * Py @ g @ Py for g in self.G])

    def information(self, observed):
        """Observed or expected information of the variances."""
        PG, Py = [self.P @ g for g in self.G], self.P @ self.y
        expected = 0.5 * np.array([[np.sum(a * b.T) for b in PG] for a in PG])
        if not observed:
            return expected
        return np.array([[Py @ a @ self.P @ b @ Py for b in self.G] for a in self.G]) - expected

    def satterthwaite(self, L):
        """Degrees of freedom of one row of weights."""
        g = np.array([L @ self.C @ self.X.T @ self.Vi @ G @ self.Vi @ self.X @ self.C @ L for G in self.G])
        return 2 * (L @ self.C @ L) ** 2 / (g @ np.linalg.solve(self.information(True), g))

    def kenward_roger(self, L):
        """Adjusted covariance, denominator df and scaled F of the rows of L."""
        W = np.linalg.inv(self.information(False))
        XV = self.X.T @ self.Vi
        P = [-XV @ G @ XV.T for G in self.G]
        inside = sum(
            W[i, j] * (XV @ a @ self.Vi @ b @ XV.T - P[i] @ self.C @ P[j]) for i, a in enumerate(self.G) for j, b in enumerate(self.G)
        )
        adjusted = self.C + 2 * self.C @ inside @ self.C
        q = len(L)
        Theta = L.T @ np.linalg.inv(L @ self.C @ L.T) @ L
        B = [Theta @ self.C @ each @ self.C for each in P]
        a1 = sum(W[i, j] * np.trace(x) * np.trace(y) for i, x in enumerate(B) for j, y in enumerate(B))
        a2 = sum(W[i, j] * np.trace(x @ y) for i, x in enumerate(B) for j, y in enumerate(B))
        b = (a1 + 6 * a2) / (2 * q)
        g = ((q + 1) * a1 - (q + 4) * a2) / ((q + 2) * a2)
        c = np.array([g, q - g, q + 2 - g]) / (3 * q + 2 * (1 - g))
        mean = 1 / (1 - a2 / q)
        variance = (2 / q) * (1 + c[0] * b) / ((1 - c[1] * b) ** 2 * (1 - c[2] * b))
        rho = variance / (2 * mean**2)
        m = 4 + (q + 2) / (q * rho - 1)
        effect = L @ self.beta
        F = effect @ np.linalg.solve(L @ adjusted @ L.T, effect) / q
        return adjusted, m, F * m / (mean * (m - 2))


def highest(X, y, G, starts=3, seed=0):
    """Variances of highest restricted likelihood, by a bounded search in logs from several starts."""
    random = np.random.default_rng(seed)

    def minus(u):
        return -Dense(X, y, G, np.exp(u)).loglik

    def slope(u):
        d = Dense(X, y, G, np.exp(u))
        return -d.gradient() * np.exp(u)

    scale = np.log(np.var(y))
    runs = [
        minimize(minus, scale + random.uniform(-3, 0, len(G) + 1), jac=slope, method="L-BFGS-B",
                 bounds=[(scale - 25, scale + 5)] * (len(G) + 1), options={"ftol": 1e-15, "gtol": 1e-9, "maxiter": 500})
        for _ in range(starts)
    ]  # fmt: skip
    best = min(runs, key=lambda run: run.fun)
    return np.exp(best.x), -best.fun


def two_sided(t, df):
    """Two-sided p."""
    return 2 * t_law.sf(abs(t), df)


def f_tail(F, a, b):
    """Upper tail of F."""
    return f_law.sf(F, a, b)
