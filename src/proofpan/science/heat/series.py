"""Exact heating of simple shapes with constant properties: θ = (T − T∞)/(T_start − T∞), 1 at the start.

Bi = h·L/k and Fo = α·t/L², with L the half thickness of a slab or the outer radius of a cylinder or sphere; position runs from
0 in the middle to 1 at the surface.
"""

from __future__ import annotations

import math
from functools import lru_cache

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.optimize import brentq
from scipy.special import erfc, erfcx, j0, j1, jn_zeros

from .errors import HeatError

SHAPES = ("slab", "cylinder", "sphere")
_SMALLEST_FOURIER = 1e-7  # below it only a skin a thousandth of the piece has warmed: it is half-infinite
_SPENT = 36.0  # exp(−36) is below the last bit of 1


def _known(shape: str) -> str:
    if shape not in SHAPES:
        raise HeatError(f'"{shape}" has no series here: use one of {", ".join(SHAPES)}.')
    return shape


def _biot(biot: float) -> float:
    if not biot > 0:
        raise HeatError(f"The Biot number must be positive; {biot:g} came.")
    return float(biot)


def _bessel_zeros(order: int, count: int) -> NDArray[np.float64]:
    """First zeros of J0 or J1 above zero; beyond twenty by McMahon's expansion and one Newton step."""
    if count <= 20:
        return np.asarray(jn_zeros(order, count), dtype=np.float64) if count else np.empty(0)
    n = np.arange(21, count + 1)
    b = (n - 0.25 if order == 0 else n + 0.25) * np.pi
    z = b + (1 / (8 * b) if order == 0 else -3 / (8 * b))
    for _ in range(2):
        z = z + j0(z) / j1(z) if order == 0 else z - j1(z) / (j0(z) - j1(z) / z)
    return np.concatenate([jn_zeros(order, 20), z])


@lru_cache(maxsize=256)
def _eigenvalues(shape: str, biot: float, count: int) -> NDArray[np.float64]:
    n = np.arange(1, count + 1)
    if shape == "cylinder":
        low = np.concatenate([[0.0], _bessel_zeros(1, count - 1)])
        high = _bessel_zeros(0, count)
    else:
        low = np.asarray((n - 1) * np.pi, dtype=np.float64)
        high = np.asarray((n - 0.5 if shape == "slab" else n) * np.pi, dtype=np.float64)
    roots = high if math.isinf(biot) else _bisect(shape, biot, low, high)
    roots.setflags(write=False)
    return roots


def _bisect(shape: str, biot: float, low: NDArray[np.float64], high: NDArray[np.float64]) -> NDArray[np.float64]:
    def f(z: NDArray[np.float64]) -> NDArray[np.float64]:
        if shape == "slab":
            return np.asarray(z * np.sin(z) - biot * np.cos(z))
        if shape == "cylinder":
            return np.asarray(z * j1(z) - biot * j0(z))
        return np.asarray(z * np.cos(z) + (biot - 1) * np.sin(z))

    sign_high = np.sign(f(high)) * np.ones_like(high)
    # at the upper end of slab and cylinder the sign is that of z·sin z and z·J1, which alternates
    for _ in range(62):
        middle = (low + high) / 2
        upper = np.sign(f(middle)) == sign_high
        high, low = np.where(upper, middle, high), np.where(upper, low, middle)
    return np.asarray((low + high) / 2)


def eigenvalues(shape: str, biot: float, count: int) -> NDArray[np.float64]:
    """The first roots of a shape's equation, radians, ascending, all above zero.

    Parameters: shape (slab, cylinder, sphere); biot, positive, may be infinite (surface held at T∞); count.
    Raises: HeatError. Source: ζ·tan ζ = Bi; ζ·J1(ζ) = Bi·J0(ζ); 1 − ζ·cot ζ = Bi (Carslaw & Jaeger 1959; Incropera et al. §5.5–5.6).
    """
    if count < 1:
        raise HeatError("Ask for at least one eigenvalue.")
    return _eigenvalues(_known(shape), _biot(biot), int(count))


def coefficients(shape: str, zeta: ArrayLike) -> NDArray[np.float64]:
    """Each term's weight at the centre.

    Parameters: zeta, shape (n,), the eigenvalues. Source: Incropera et al. eqs. 5.39b, 5.47b, 5.48b.
    """
    z = np.asarray(zeta, dtype=float)
    if shape == "slab":
        return np.asarray(4 * np.sin(z) / (2 * z + np.sin(2 * z)))
    if shape == "cylinder":
        return np.asarray(2 / z * j1(z) / (j0(z) ** 2 + j1(z) ** 2))
    return np.asarray(4 * (np.sin(z) - z * np.cos(z)) / (2 * z - np.sin(2 * z)))


def one_term_coefficients(shape: str, biot: float) -> tuple[float, float]:
    """(ζ1, C1): from Fo of about 0.2 on θ at the centre is C1·exp(−ζ1²·Fo).

    Source: Incropera et al. table 5.1.
    """
    z = eigenvalues(shape, biot, 1)
    return float(z[0]), float(coefficients(shape, z)[0])


def _modes(shape: str, zeta: NDArray[np.float64], position: NDArray[np.float64]) -> NDArray[np.float64]:
    x = position[..., None] * zeta
    if shape == "slab":
        return np.asarray(np.cos(x))
    if shape == "cylinder":
        return np.asarray(j0(x))
    return np.asarray(np.sinc(x / np.pi))


def _terms(smallest_fourier: float) -> int:
    """Enough terms that the last is below the last bit, in steps so that eigenvalues are found once."""
    need = math.sqrt(_SPENT / smallest_fourier) / math.pi + 3
    return int(2 ** math.ceil(math.log2(max(need, 8))))


def _summed(shape: str, fourier: ArrayLike, biot: float, weights: NDArray[np.float64] | None, position: ArrayLike) -> NDArray[np.float64]:
    fo, x = np.broadcast_arrays(np.asarray(fourier, dtype=float), np.asarray(position, dtype=float))
    if not (fo >= 0).all():
        raise HeatError("The Fourier number can't be negative.")
    if not ((x >= 0) & (x <= 1)).all():
        raise HeatError("A position runs from 0 in the middle to 1 at the surface.")
    out = np.ones(fo.shape)
    late = fo >= _SMALLEST_FOURIER
    if late.any():
        z = eigenvalues(shape, biot, _terms(float(fo[late].min())))
        c = coefficients(shape, z)
        across = _modes(shape, z, x[late]) if weights is None else _mean_modes(shape, z)
        out[late] = (np.exp(-np.minimum(z**2 * fo[late][..., None], 700.0)) * c * across).sum(-1)
    early = ~late & (fo > 0)
    if early.any():
        if weights is None:
            out[early] = 1 - _half_infinite(1 - x[early], np.sqrt(fo[early]), biot)
        else:
            # heat through the skin of area (m + 1)/L of the volume: 2·√(Fo/π) once the surface is at T∞, Bi·Fo before
            faces = SHAPES.index(shape) + 1
            root = np.sqrt(fo[early])
            taken = 2 * root / math.sqrt(math.pi) if math.isinf(biot) else _taken(root, biot)
            out[early] = 1 - faces * taken
    return out


def _taken(root: NDArray[np.float64], biot: float) -> NDArray[np.float64]:
    """∫ of the surface flux of a half-infinite body, in units of L·ρc·ΔT."""
    b = biot * root
    return np.asarray((erfcx(b) - 1 + 2 * b / math.sqrt(math.pi)) / biot)


def _half_infinite(depth: NDArray[np.float64], root: NDArray[np.float64], biot: float) -> NDArray[np.float64]:
    """Fraction of the step: depth over L, √Fo, Bi. Written with erfcx, since exp() alone overflows at a large Bi."""
    eta = depth / (2 * root)
    held = erfc(eta)
    if math.isinf(biot):
        return np.asarray(held)
    return np.asarray(held - np.exp(-(eta**2)) * erfcx(eta + biot * root))


def _mean_modes(shape: str, z: NDArray[np.float64]) -> NDArray[np.float64]:
    if shape == "slab":
        return np.asarray(np.sin(z) / z)
    if shape == "cylinder":
        return np.asarray(2 * j1(z) / z)
    return np.asarray(3 * (np.sin(z) - z * np.cos(z)) / z**3)


def theta(shape: str, fourier: ArrayLike, biot: float, position: ArrayLike = 0.0) -> NDArray[np.float64]:
    """How far a place still is from the temperature around it: 1 at the start, 0 in the end.

    Parameters: shape (slab, cylinder, sphere); fourier and position, shapes that broadcast; biot, positive (may be infinite).
    Returns: the broadcast shape. Raises: HeatError.
    Source: Carslaw & Jaeger 1959; Incropera et al. eqs. 5.39, 5.47, 5.48, with as many terms as reach the last bit; below Fo = 1e-7
        the half-infinite body.
    """
    return _summed(_known(shape), fourier, _biot(biot), None, position)


def slab_theta(fourier: ArrayLike, biot: float, position: ArrayLike = 0.0) -> NDArray[np.float64]:
    """`theta` of a slab; L is half its thickness."""
    return theta("slab", fourier, biot, position)


def cylinder_theta(fourier: ArrayLike, biot: float, position: ArrayLike = 0.0) -> NDArray[np.float64]:
    """`theta` of a long cylinder."""
    return theta("cylinder", fourier, biot, position)


def sphere_theta(fourier: ArrayLike, biot: float, position: ArrayLike = 0.0) -> NDArray[np.float64]:
    """`theta` of a sphere."""
    return theta("sphere", fourier, biot, position)


def mean_theta(shape: str, fourier: ArrayLike, biot: float) -> NDArray[np.float64]:
    """`theta` averaged over the volume: what heat is still to come.

    Source: the volume integral of each term of `theta`.
    """
    return _summed(_known(shape), fourier, _biot(biot), np.empty(0), np.zeros(1)[0])


def fourier_to_reach(shape: str, biot: float, position: float, theta_wanted: float) -> float:
    """Fourier number at which a place first comes to θ.

    Parameters: theta_wanted, above 0 and below 1. Raises: HeatError. Source: `theta` solved for Fo (Brent).
    """
    if not 0 < theta_wanted < 1:
        raise HeatError(f"θ runs from 1 down to 0; {theta_wanted:g} is never reached on the way.")
    zeta, c = one_term_coefficients(shape, biot)
    longest = max(math.log(max(c, 1.0) / theta_wanted) / zeta**2, 1e-3) * 2 + 1

    def left(log_fo: float) -> float:
        return float(theta(shape, math.exp(log_fo), biot, position)) - theta_wanted

    return math.exp(brentq(left, math.log(1e-12), math.log(longest), xtol=1e-13, rtol=8.9e-16))


def semi_infinite_fraction(
    depth_m: ArrayLike, diffusivity_m2_s: float, time_s: ArrayLike, conductivity_w_mk: float | None = None,
    heat_transfer_w_m2k: float | None = None,
) -> NDArray[np.float64]:
    """(T − T_start)/(T∞ − T_start) at a depth in a body so thick that its other side feels nothing.

    Parameters: depth_m and time_s, shapes that broadcast; heat_transfer_w_m2k None = the surface is held at T∞.
    Raises: HeatError. Source: Incropera et al. eqs. 5.60 and 5.63.
    """
    x, t = np.broadcast_arrays(np.asarray(depth_m, dtype=float), np.asarray(time_s, dtype=float))
    if not ((x >= 0).all() and (t >= 0).all() and diffusivity_m2_s > 0):
        raise HeatError("Depth and time can't be negative, and the diffusivity must be positive.")
    root = np.sqrt(diffusivity_m2_s * np.where(t > 0, t, 1.0))
    if heat_transfer_w_m2k is None:
        fraction = _half_infinite(x, root, math.inf)
    elif conductivity_w_mk is None or not conductivity_w_mk > 0 or heat_transfer_w_m2k < 0:
        raise HeatError("With a heat-transfer coefficient the conductivity is needed too, both positive.")
    else:
        fraction = _half_infinite(x, root, heat_transfer_w_m2k / conductivity_w_mk)
    surface_at_once = 1.0 if heat_transfer_w_m2k is None else 0.0
    return np.where(t > 0, fraction, np.where(x == 0, surface_at_once, 0.0))


def lumped_temperature_c(
    mass_kg: float, area_m2: float, heat_transfer_w_m2k: float, specific_heat_j_kgk: float, start_c: float, ambient_c: float, time_s: ArrayLike
) -> NDArray[np.float64]:
    """Temperature of something so small or well stirred that it is the same throughout (Bi under 0.1).

    Raises: HeatError. Source: T = T∞ + (T_start − T∞)·exp(−h·A·t/(m·c)); Incropera et al. eq. 5.6.
    """
    if not (mass_kg > 0 and specific_heat_j_kgk > 0 and area_m2 >= 0 and heat_transfer_w_m2k >= 0):
        raise HeatError("Mass and specific heat must be positive; area and heat transfer not negative.")
    rate = heat_transfer_w_m2k * area_m2 / (mass_kg * specific_heat_j_kgk)
    return np.asarray(ambient_c + (start_c - ambient_c) * np.exp(-rate * np.asarray(time_s, dtype=float)))


def _product(
    sides: list[tuple[str, float, float]], conductivity_w_mk: float, density_kg_m3: float, specific_heat_j_kgk: float,
    heat_transfer_w_m2k: float, start_c: float, ambient_c: float, time_s: ArrayLike,
) -> NDArray[np.float64]:
    values = (conductivity_w_mk, density_kg_m3, specific_heat_j_kgk, *(size for _, size, _ in sides))
    if not all(v > 0 for v in values) or not heat_transfer_w_m2k >= 0:
        raise HeatError("Sizes and properties must be positive, and heat transfer not negative.")
    if any(abs(place) > size * (1 + 1e-9) for _, size, place in sides):
        raise HeatError("The place asked for is outside the piece.")
    t = np.asarray(time_s, dtype=float)
    if heat_transfer_w_m2k == 0:
        return np.full(t.shape, float(start_c))
    alpha = conductivity_w_mk / (density_kg_m3 * specific_heat_j_kgk)
    left = np.ones(t.shape)
    for shape, size, place in sides:
        left = left * theta(shape, alpha * t / size**2, heat_transfer_w_m2k * size / conductivity_w_mk, min(abs(place) / size, 1.0))
    return np.asarray(ambient_c + (start_c - ambient_c) * left)


def brick_temperature_c(
    half_sizes_m: tuple[float, float, float], position_m: tuple[float, float, float], conductivity_w_mk: float, density_kg_m3: float,
    specific_heat_j_kgk: float, heat_transfer_w_m2k: float, start_c: float, ambient_c: float, time_s: ArrayLike,
) -> NDArray[np.float64]:
    """Temperature at a place of a brick, convection on all six faces.

    Parameters: half_sizes_m and position_m (from the centre), three each; time_s, shape (...).
    Raises: HeatError. Source: product of three slab series (Newman 1936; Incropera et al. §5.8, 6th ed.).
    """
    sides = [("slab", float(a), float(x)) for a, x in zip(half_sizes_m, position_m, strict=True)]
    return _product(sides, conductivity_w_mk, density_kg_m3, specific_heat_j_kgk, heat_transfer_w_m2k, start_c, ambient_c, time_s)


def finite_cylinder_temperature_c(
    radius_m: float, half_length_m: float, radial_position_m: float, axial_position_m: float, conductivity_w_mk: float,
    density_kg_m3: float, specific_heat_j_kgk: float, heat_transfer_w_m2k: float, start_c: float, ambient_c: float, time_s: ArrayLike,
) -> NDArray[np.float64]:
    """Temperature at a place of a short cylinder, convection all round; the axial position is from mid-height.

    Raises: HeatError. Source: product of the cylinder's and the slab's series (Newman 1936).
    """
    sides = [("cylinder", float(radius_m), float(radial_position_m)), ("slab", float(half_length_m), float(axial_position_m))]
    return _product(sides, conductivity_w_mk, density_kg_m3, specific_heat_j_kgk, heat_transfer_w_m2k, start_c, ambient_c, time_s)
