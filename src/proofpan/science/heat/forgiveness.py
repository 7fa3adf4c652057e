"""How forgiving a time is: the same piece in many kitchens."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from .doneness import Target, window
from .errors import HeatError
from .march import Cooked, cook
from .material import Material
from .piece import Piece
from .safety import CAUTION
from .stages import Stage, stage, stage_kinds
from .steam import saturation_pressure_kpa

FAN_LESS_C = 20.0  # what a reader with a fan takes off, and one without puts on; common practice, no source
LONGEST_MIN = 800.0
CHUNK = 32  # kitchens cooked side by side; fixed, so that numbers don't depend on how many workers there are
CELLS = {1: 24, 2: 14, 3: 10}
DRYING_CELLS = {1: 24, 2: 12, 3: 8}
TOLERANCE_C = 0.03
INPUTS = ("oven", "fan", "size", "altitude", "trays", "start", "heat transfer", "steam in the oven")


@dataclass(frozen=True)
class Kitchens:
    """How readers' kitchens differ; each input is even over its range, and independent.

    Attributes: oven_error_c, half width of what the oven is off; fan_unknown, whether half of the readers have the other kind of
        oven (and convert by 20 °C); size_share, half width of piece size as a share; altitude_m, most; trays, most; start_error_c,
        half width; steam_kpa, least and most vapour in an oven's air, from one small piece with the vent open to a full, tight one.
    Source: ±15 °C is a common spread of domestic thermostats; all ranges are common practice, no source.
    """

    oven_error_c: float = 15.0
    fan_unknown: bool = True
    size_share: float = 0.25
    altitude_m: float = 1500.0
    trays: int = 2
    start_error_c: float = 5.0
    steam_kpa: tuple[float, float] = (5.0, 40.0)


@dataclass(frozen=True)
class Dish:
    """What is cooked: a piece of a material from a start temperature, fixed stages first, then one whose minutes are wanted.

    altitude_m is that of the kitchen as written.
    """

    piece: Piece
    material: Material
    kind: str
    temperature_c: float | None
    targets: tuple[Target, ...]
    start_c: float = 20.0
    before: tuple[Stage, ...] = ()
    heat_transfer_w_m2k: float | None = None
    altitude_m: float = 0.0


@dataclass(frozen=True)
class Chunk:
    """A worker's share: rows of draws (n, inputs), each −1 to 1, and how long the sum runs."""

    dish: Dish
    kitchens: Kitchens
    draws: tuple[tuple[float, ...], ...]
    minutes: float


Runner = Callable[[Callable[[Chunk], tuple[list[float], list[float]]], Sequence[Chunk]], Iterable[tuple[list[float], list[float]]]]


@dataclass(frozen=True, eq=False)
class Forgiveness:
    """What a recipe may say of its time.

    Attributes:
        own_min: (from, to) in a kitchen as written; `to` is where the sum stopped where no upper end is passed.
        start_looking_min: when the earliest tenth of kitchens is done, in whole minutes, rounded down.
        window_min: (from, to), the minutes to print: as written, from all targets reached to the first upper end passed; where none
            is, to when nine kitchens of ten are done.
        probability: that a reader who looks all through the window finds it done in it; probability_low, probability_high, 95 %.
        by_the_clock: probability that it is right at the middle of the window, unlooked.
        never: share of kitchens in which the targets never hold together.
        matters: (input, share of the variation of the time it is done, minutes from its low to its high end), most first.
        from_min, to_min: (n,), each kitchen's window; draws: (n, inputs), −1 to 1.
        sizes: (size factor, from, to) as written.
        cautions: sentences, always shown.
    """

    own_min: tuple[float, float]
    start_looking_min: int
    window_min: tuple[float, float]
    probability: float
    probability_low: float
    probability_high: float
    by_the_clock: float
    never: float
    matters: tuple[tuple[str, float, float], ...]
    from_min: NDArray[np.float64]
    to_min: NDArray[np.float64]
    draws: NDArray[np.float64]
    sizes: tuple[tuple[float, float, float], ...]
    cautions: tuple[str, ...]


def draws_of(n: int, seed: int) -> NDArray[np.float64]:
    """Evenly spread draws, shape (n, inputs), −1 to 1.

    Source: Kronecker sequence of the generalised golden ratio (Roberts 2018), started at a seeded place.
    """
    ratio = 2.0
    for _ in range(60):
        ratio = (1 + ratio) ** (1 / (len(INPUTS) + 1))
    alpha = ratio ** -np.arange(1, len(INPUTS) + 1)
    start = np.random.default_rng(seed).random(len(INPUTS))
    return np.asarray(2 * ((start + np.outer(np.arange(1, n + 1), alpha)) % 1) - 1)


def _is_oven(kind: str) -> bool:
    return kind in ("oven", "fan oven")


def _stage_of(dish: Dish, kitchens: Kitchens, x: NDArray[np.float64], minutes: float) -> Stage:
    """The stage of interest in each kitchen, x of shape (p, inputs)."""
    oven, fan, _, altitude, trays, _, transfer, steam = x.T
    # as-written kitchens are at 0 throughout; one tray is the written one, so that runs one way, and heights from the sea up
    height = kitchens.altitude_m * (altitude + 1) / 2
    load = np.round(1 + (kitchens.trays - 1) * (trays + 1) / 2)
    usual = stage_kinds()[dish.kind]
    h = dish.heat_transfer_w_m2k or usual.heat_transfer_w_m2k
    spread = np.where(transfer > 0, np.log(usual.high / usual.heat_transfer_w_m2k), np.log(usual.heat_transfer_w_m2k / usual.low))
    factor = np.exp(transfer * spread * (0.25 if dish.heat_transfer_w_m2k else 1.0))
    if not _is_oven(dish.kind):
        off = 0.0 if dish.temperature_c is None else kitchens.oven_error_c * oven * (0.0 if dish.kind in ("boil", "simmer", "steam", "soak") else 1.0)
        temperature = None if dish.temperature_c is None else dish.temperature_c + off
        return stage(dish.kind, minutes, temperature, altitude_m=height, trays=1, heat_transfer_w_m2k=h * factor)
    other = (fan > 0) & kitchens.fan_unknown
    other_kind = stage_kinds()["fan oven" if dish.kind == "oven" else "oven"]
    written = float(usual.temperature) if dish.temperature_c is None else dish.temperature_c
    converted = written + (-FAN_LESS_C if dish.kind == "oven" else FAN_LESS_C)
    temperature = np.where(other, converted, written) + kitchens.oven_error_c * oven
    h_there = np.where(other, other_kind.heat_transfer_w_m2k, h) * factor
    there = stage(dish.kind, minutes, temperature, altitude_m=height, trays=load, heat_transfer_w_m2k=h_there)
    return replace(there, vapour_kpa=_steam(kitchens, steam, np.where(other, other_kind.vapour_kpa, usual.vapour_kpa), temperature))


def _steam(kitchens: Kitchens, steam: NDArray[np.float64], usual: NDArray[np.float64], temperature: NDArray[np.float64]) -> NDArray[np.float64]:
    """KPa of vapour, by its ratio to the usual."""
    least, most = kitchens.steam_kpa
    ratio = np.where(steam > 0, np.log(most / usual), np.log(usual / least))
    return np.minimum(usual * np.exp(steam * ratio), saturation_pressure_kpa(temperature))


def run_chunk(chunk: Chunk) -> tuple[list[float], list[float]]:
    """Each kitchen's window, minutes of the last stage; not a number where targets never hold together. Runs anywhere."""
    dish, x = chunk.dish, np.array(chunk.draws)
    pieces = [dish.piece.scaled(1 + chunk.kitchens.size_share * s) for s in x[:, INPUTS.index("size")]]
    start = dish.start_c + chunk.kitchens.start_error_c * x[:, INPUTS.index("start")]
    last = _stage_of(dish, chunk.kitchens, x, chunk.minutes)
    dries = any(s.evaporates for s in (*dish.before, last))
    cells = (DRYING_CELLS if dries else CELLS)[len(dish.piece.axes)]
    longest = chunk.minutes * 60 / 80
    has_end = any(t.most is not None for t in dish.targets)

    def over(so_far: Cooked) -> bool:
        found = window(so_far, dish.targets)
        return bool(np.isfinite(found.from_min).all() and (not has_end or (found.to_min < so_far.times_s[-1] / 60 * (1 - 1e-9)).all()))

    cooked = cook(pieces, dish.material, [*dish.before, last], start, tolerance_c=TOLERANCE_C, cells=cells, longest_step_s=longest, enough=over)
    found = window(cooked, dish.targets)
    begins = sum(s.minutes for s in dish.before)
    ends = found.to_min - begins if has_end else np.where(np.isfinite(found.from_min), chunk.minutes, np.nan)
    return list(np.maximum(found.from_min - begins, 0.0)), list(ends)


def _as_written(dish: Dish, kitchens: Kitchens) -> tuple[float, ...]:
    """The draw that stands for the kitchen as written: its own altitude, one tray, nothing off, the oven of the recipe."""
    height = 2 * dish.altitude_m / kitchens.altitude_m - 1 if kitchens.altitude_m else -1.0
    return (0.0, -1.0, 0.0, height, -1.0, 0.0, 0.0, 0.0)


def _longest(dish: Dish, kitchens: Kitchens) -> tuple[float, float, float]:
    """(minutes to run, from, to as written), doubling until the least of all targets is reached as written."""
    minutes = 20.0
    while minutes <= LONGEST_MIN:
        (start,), (end,) = run_chunk(Chunk(dish, kitchens, (_as_written(dish, kitchens),), minutes))
        if np.isfinite(start):
            return max(3.0 * start, start + 5.0), start, end
        minutes *= 2.5
    raise HeatError(f"As written, the targets never hold together in {LONGEST_MIN / 60:.0f} hours: the piece is too large, the stage isn't hot enough, "
                    "or an upper end is passed first.")


def forgiveness(dish: Dish, kitchens: Kitchens | None = None, n: int = 128, seed: int = 0, run: Runner = map) -> Forgiveness:
    """Cook a dish in n kitchens, and say what its recipe may.

    Parameters: run, what maps `run_chunk` over chunks: the built-in, a pool's or a cluster's; the numbers are the same.
    Raises: HeatError, where the dish can't be done even as written, or n under 32.
    Source: method in docs/method/heat.md. Kitchens are as spread as `Kitchens` says, and the model's own error isn't in the probability.
    """
    k = kitchens or Kitchens()
    if n < CHUNK:
        raise HeatError(f"At least {CHUNK} kitchens are needed; {n} came.")
    minutes, own_from, _ = _longest(dish, k)
    x = draws_of(n, seed)
    parts = [Chunk(dish, k, tuple(map(tuple, x[i : i + CHUNK].tolist())), minutes) for i in range(0, n, CHUNK)]
    sizes = _sizes(dish, k, minutes)
    own = (own_from, sizes[1][2])
    results = list(run(run_chunk, parts))
    begins = np.array([v for r in results for v in r[0]])
    ends = np.array([v for r in results for v in r[1]])
    return _summed(dish, own, begins, ends, x, sizes, minutes)


def _sizes(dish: Dish, k: Kitchens, minutes: float) -> tuple[tuple[float, float, float], ...]:
    size = INPUTS.index("size")
    rows = []
    for s in (-1.0, 0.0, 1.0):
        row = list(_as_written(dish, k))
        row[size] = s
        rows.append(tuple(row))
    begins, ends = run_chunk(Chunk(dish, k, tuple(rows), minutes))
    return tuple((1 + k.size_share * s, b, e) for s, b, e in zip((-1.0, 0.0, 1.0), begins, ends, strict=True))


def _wilson(share: float, n: int) -> tuple[float, float]:
    z = 1.959964
    middle = (share + z * z / (2 * n)) / (1 + z * z / n)
    half = z * np.sqrt(share * (1 - share) / n + z * z / (4 * n * n)) / (1 + z * z / n)
    return max(0.0, middle - half), min(1.0, middle + half)


def _odds(begins: NDArray[np.float64], ends: NDArray[np.float64], shown: tuple[float, float]) -> tuple[float, float, float, float]:
    """(share of kitchens done at some time in the minutes shown, its 95 % interval, share done at their middle)."""
    middle = sum(shown) / 2
    # where targets never hold together both ends are not a number, and no comparison holds
    p = float(((begins <= shown[1]) & (ends >= shown[0])).mean())
    return (p, *_wilson(p, len(begins)), float(((begins <= middle) & (ends >= middle)).mean()))


def _summed(
    dish: Dish, own: tuple[float, float], begins: NDArray[np.float64], ends: NDArray[np.float64], x: NDArray[np.float64],
    sizes: tuple[tuple[float, float, float], ...], minutes: float,
) -> Forgiveness:
    done = np.isfinite(begins)
    if not done.any():
        raise HeatError("In none of the kitchens do all targets hold together.")
    # an upper end that isn't passed before the sum stops is none
    upper = own[1] < minutes * (1 - 1e-9)
    early = float(np.quantile(begins[done], 0.1))
    last = own[1] if upper else max(float(np.quantile(begins[done], 0.9)), own[0])
    shown = (own[0], last)
    p, low, high, clock = _odds(begins, ends, shown)
    cautions = tuple(dict.fromkeys(c for t in dish.targets for c in t.cautions))
    return Forgiveness(
        own, int(min(early, own[0])), shown, p, low, high, clock, float((~done).mean()), _matters(begins, done, x), begins, ends, x,
        sizes, cautions,
    )


def _matters(begins: NDArray[np.float64], done: NDArray[np.bool_], x: NDArray[np.float64]) -> tuple[tuple[str, float, float], ...]:
    """First-order shares of the variation of log time, by least squares on each input and its square.

    Source: variance-based sensitivity (Saltelli et al. 2008) through a quadratic response surface.
    """
    y, z = np.log(np.maximum(begins[done], 1e-3)), x[done]
    columns = np.concatenate([z, z**2], axis=1)
    design = np.concatenate([np.ones((len(y), 1)), columns], axis=1)
    beta = np.linalg.lstsq(design, y, rcond=None)[0]
    whole, k = float(y.var()), len(INPUTS)
    found = []
    for i, name in enumerate(INPUTS):
        part = beta[1 + i] * z[:, i] + beta[1 + k + i] * z[:, i] ** 2
        share = 0.0 if whole < 1e-12 else min(1.0, float(part.var()) / whole)
        turn = np.exp(np.median(y)) * (np.exp(beta[1 + i]) - np.exp(-beta[1 + i]))
        found.append((name, share, float(turn)))
    return tuple(sorted(found, key=lambda f: -f[1]))


def with_out_times(f: Forgiveness, out_min: Sequence[float]) -> tuple[Forgiveness, bool, str]:
    """(what to print, whether kitchens and model agree, a sentence), joined with when it really came out.

    Kitchens win: from three out-times on, their range is printed; start looking at the earliest less a tenth. Where a target is a safe
    temperature no minute before the sum's is printed: an out-time says when it came out, not that its core had got there.
    Raises: HeatError, for times that aren't positive.
    """
    times = np.asarray(out_min, dtype=float)
    if not times.size:
        return f, True, "No kitchen has reported a time yet: these minutes are worked out."
    if not ((times > 0) & np.isfinite(times)).all():
        raise HeatError("Out-times are minutes above zero.")
    low, high = float(times.min()), float(times.max())
    agrees = low <= f.window_min[1] and high >= f.window_min[0]
    said = f"{times.size} kitchen{'s' if times.size > 1 else ''} took {f'{low:g}–{high:g}' if high > low else f'{low:g}'} min"
    model = f"the sum says {f.window_min[0]:.0f}–{f.window_min[1]:.0f}"
    if times.size < 3:
        return f, agrees, f"{said}; {model}. {'They agree so far.' if agrees else 'They differ: trust the kitchens, and ask more of them.'}"
    last_word = "They agree." if agrees else "They differ, and kitchens win: their times are printed."
    if CAUTION in f.cautions and low < f.window_min[0]:
        low, high = f.window_min[0], max(high, f.window_min[1])
        last_word = "Food that must reach a safe temperature gets the later minutes, and the probe decides."
    p, p_low, p_high, clock = _odds(f.from_min, f.to_min, (low, high))
    joined = replace(f, window_min=(low, high), start_looking_min=int(0.9 * low), probability=p, probability_low=p_low,
                     probability_high=p_high, by_the_clock=clock)
    return joined, agrees, f"{said}; {model}. {last_word}"


def sentences(f: Forgiveness, size_cm: float, what: str = "pieces", until: str = "") -> tuple[str, ...]:
    """What a recipe may print.

    Parameters: size_cm, the size that is named; what, the plural of the piece; until, what holds then, as in "until tender".
    """
    a, b = f.window_min
    whole = f"{round(a)}–{round(b)} min" if round(b) > round(a) else f"{round(a)} min"
    out = [f"{what} of {size_cm:g} cm{until and ', '}{until}: {whole}; start looking at {f.start_looking_min} min."]
    small, own, large = f.sizes
    if np.isfinite(large[1]) and np.isfinite(own[1]) and max(large[1] - own[1], own[1] - small[1]) >= 0.5:
        out.append(f"At {size_cm * large[0]:.2g} cm add {max(1, round(large[1] - own[1]))} min; at {size_cm * small[0]:.2g} cm take off "
                   f"{max(1, round(own[1] - small[1]))}.")
    out.append(f"In about {round(100 * f.probability)} of 100 readers' kitchens ({round(100 * f.probability_low)}–{round(100 * f.probability_high)}) "
               f"it is done within these minutes.")
    name, share, turn = f.matters[0]
    if share >= 0.005 and abs(turn) >= 0.5:
        out.append(f"What matters most is the {name} ({round(100 * share)} % of the spread, {abs(turn):.0f} min from end to end).")
    if f.never > 0.005:
        out.append(f"In {round(100 * f.never)} of 100 kitchens the targets never hold together.")
    return tuple(out)
