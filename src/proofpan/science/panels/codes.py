"""Three-digit codes for plates that say nothing about what is on them."""

from collections.abc import Collection

import numpy as np

from .errors import PanelError

FIRST, LAST = 100, 999


def is_plain(code: int) -> bool:
    """Whether a code says nothing: three different digits, no run such as 345 or 765, no last 0.

    Codes that end in 0 read like an oven setting or a weight (180, 250), repeats and runs like a choice (111, 123).
    Common practice, no source.
    """
    a, b, c = (int(digit) for digit in str(code))
    run = b - a == c - b and abs(b - a) == 1
    return len({a, b, c}) == 3 and not run and c != 0


PLAIN = frozenset(code for code in range(FIRST, LAST + 1) if is_plain(code))
"""The 562 codes that say nothing."""


def three_digit_codes(n: int, *, seed: int, taken: Collection[str] = frozenset()) -> tuple[str, ...]:
    """Random, unique three-digit codes.

    Every plain code is as likely as any other (see `is_plain`); codes that say something are used only when the
    plain ones run out.

    Args:
        n: how many codes, 0 to 900 less those taken.
        seed: same seed, same codes.
        taken: codes already on other plates; none is given again.

    Returns:
        `n` codes between "100" and "999".

    Raises:
        PanelError: n is negative, or more codes are asked for than are left.

    Source: ISO 6658:2017 (random three-digit codes); from memory.
    """
    if n < 0:
        raise PanelError(f"{n} codes were asked for; ask for none or more.")
    used = {str(code) for code in taken}
    free = [code for code in range(FIRST, LAST + 1) if str(code) not in used]
    if n > len(free):
        raise PanelError(f"{n} codes were asked for, but only {len(free)} three-digit codes are left.")
    rng = np.random.default_rng(seed)
    plain = rng.permutation([code for code in free if code in PLAIN])
    rest = rng.permutation([code for code in free if code not in PLAIN])
    chosen = rng.permutation(np.concatenate([plain, rest])[:n])
    return tuple(str(int(code)) for code in chosen)
