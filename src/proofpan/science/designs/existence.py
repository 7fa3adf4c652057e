"""Whether a balanced incomplete block design can exist, before any is looked for."""

from math import isqrt

from .errors import DesignError

KNOWN_NOT = {
    (22, 8, 4): "Bilous and others (2007) searched them all and found none",
    (111, 11, 1): "Lam, Thiel & Swiercz (1989) found no projective plane of order 10",
}
"""Designs whose counts agree but that were shown not to exist; from memory."""


def why_not(samples: int, block_size: int, blocks: int) -> str | None:
    """One sentence why no such design exists, or None when nothing known forbids it.

    Raises:
        DesignError: sizes no design can have.

    Source: counts and Fisher (1940) as in Cochran & Cox (1957), ch. 11; symmetric: Bruck & Ryser (1949), Chowla &
    Ryser (1950); together 1 or 2: Hall & Connor (1953), Can. J. Math. 6, 35-41 (Nandi 1945 for 15 samples by 5).
    """
    if samples < 2 or not 1 <= block_size <= samples or blocks < 1:
        raise DesignError("Blocks need two samples or more, a size from 1 to the number of samples, and one block.")
    if blocks * block_size % samples:
        return f"{blocks} blocks of {block_size} can't hold {samples} samples equally often."
    replicates = blocks * block_size // samples
    if replicates * (block_size - 1) % (samples - 1):
        return f"With {replicates} servings of each sample the pairs can't meet equally often."
    together = replicates * (block_size - 1) // (samples - 1)
    if block_size == 1:
        return "Blocks of one sample hold no pair."
    if block_size == samples:
        return None
    if blocks < samples:
        return f"{samples} samples need at least {samples} blocks (Fisher's inequality)."
    if (reason := KNOWN_NOT.get((samples, block_size, together))) is not None:
        return reason[0].upper() + reason[1:] + "."
    if blocks == samples and not symmetric_possible(samples, block_size, together):
        return "The Bruck-Ryser-Chowla theorem forbids it."
    if replicates == block_size + together and together in (1, 2):
        larger = (samples + replicates, replicates, together)
        if not symmetric_possible(*larger) or larger in KNOWN_NOT:
            return f"It would be part of a design of {larger[0]} blocks of {larger[1]}, which doesn't exist (Hall-Connor)."
    if 2 * block_size > samples and samples - block_size > 1 and (reason := why_not(samples, samples - block_size, blocks)) is not None:
        return f"What its blocks leave out would be a design of blocks of {samples - block_size}, and there is none: {reason}"
    return None


def symmetric_possible(samples: int, block_size: int, together: int) -> bool:
    """Whether Bruck, Ryser and Chowla allow as many blocks as samples."""
    order = block_size - together
    if samples % 2 == 0:
        return isqrt(order) ** 2 == order
    sign = -1 if (samples - 1) // 2 % 2 else 1
    return _has_solution(order, sign * together)


def _has_solution(a: int, b: int) -> bool:
    """Whether x^2 = a y^2 + b z^2 has a solution but zero, by Legendre's theorem through Hilbert symbols."""
    primes = {2} | _primes_of(abs(a)) | _primes_of(abs(b))
    return not (a < 0 and b < 0) and all(_hilbert(a, b, p) == 1 for p in primes)


def _primes_of(n: int) -> set[int]:
    found, p = set(), 2
    while p * p <= n:
        while n % p == 0:
            found.add(p)
            n //= p
        p += 1
    return found | ({n} if n > 1 else set())


def _hilbert(a: int, b: int, p: int) -> int:
    """Hilbert symbol (Serre, A Course in Arithmetic, ch. III, theorem 1)."""
    alpha, u = _split(a, p)
    beta, v = _split(b, p)
    if p == 2:

        def eps(x: int) -> int:
            return (x - 1) // 2 % 2

        def omega(x: int) -> int:
            return (x * x - 1) // 8 % 2

        return -1 if (eps(u) * eps(v) + alpha * omega(v) + beta * omega(u)) % 2 else 1
    result = -1 if alpha * beta % 2 and p % 4 == 3 else 1
    if beta % 2:
        result *= _legendre(u, p)
    if alpha % 2:
        result *= _legendre(v, p)
    return result


def _split(n: int, p: int) -> tuple[int, int]:
    power = 0
    while n % p == 0:
        n //= p
        power += 1
    return power, n


def _legendre(n: int, p: int) -> int:
    return 1 if pow(n % p, (p - 1) // 2, p) == 1 else -1
