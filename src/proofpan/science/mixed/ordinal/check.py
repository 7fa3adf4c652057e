"""Do scores read as grades and scores read as measurements say the same?"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from scipy.special import ndtr

from proofpan.science.mixed.contrasts import coefficients
from proofpan.science.mixed.fit import Fit
from proofpan.science.mixed.model import MixedError
from proofpan.science.mixed.ordinal.cumulative import OrdinalFit


@dataclass(frozen=True)
class Comparison:
    """One effect under both models.

    Attributes:
        name: coefficient, as in both fits.
        gaussian, gaussian_p: estimate in points of the scale and two-sided p.
        ordinal, ordinal_p: estimate on the latent scale and two-sided p (normal).
        agree: both settled the same way, or neither settled.
        kind: `agree`; `direction` (settled in opposite directions); `gaussian only` or `ordinal only` (settled in
            that one alone).
    """

    name: str
    gaussian: float
    gaussian_p: float
    ordinal: float
    ordinal_p: float
    agree: bool
    kind: str


def compare_with_gaussian(ordinal: OrdinalFit, gaussian: Fit, level: float = 0.95) -> tuple[Comparison, ...]:
    """Each effect that both models have, side by side.

    Parameters: ordinal and gaussian, fits with the same coding; level at which an effect counts as settled.
    Raises: MixedError when they share no coefficient.
    """
    shared = [each for each in coefficients(gaussian) if each.name in ordinal.coefficients]
    if not shared:
        raise MixedError("the two models share no coefficient; fit both with the same terms and coding")
    found: Sequence[Comparison] = [
        _compared(e.name, e.estimate, e.p, ordinal.coefficients[e.name], ordinal.se[e.name], 1.0 - level) for e in shared
    ]
    return tuple(found)


def _compared(name: str, estimate: float, p: float, latent: float, se: float, alpha: float) -> Comparison:
    latent_p = 2.0 * float(ndtr(-abs(latent) / se))
    settled, latent_settled = p <= alpha, latent_p <= alpha
    if settled and latent_settled:
        kind = "agree" if estimate * latent > 0 else "direction"
    elif settled or latent_settled:
        kind = "gaussian only" if settled else "ordinal only"
    else:
        kind = "agree"
    return Comparison(name, estimate, p, latent, latent_p, kind == "agree", kind)
