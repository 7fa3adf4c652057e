"""How long, how sure, and in whose oven: a piece, its stages and targets → what a recipe may say of its time."""

from __future__ import annotations

import multiprocessing
import os
import re
import sys
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from proofpan.study.errors import QuantityError, StudyError, did_you_mean, quoted

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from proofpan.science.heat import Dish, Material, OvenFit, Stage
    from proofpan.science.probe import ProbeLog

_STAGE = re.compile(r"(?P<kind>[a-z]+(?: [a-z]+)?)(?:\s+(?P<at>-?\d+(?:\.\d+)?)\s*°?c?)?(?:\s+for\s+(?P<for>\d+(?:\.\d+)?)\s*min(?:utes)?)?")
READY_POINTS = 80
LONGEST_BEFORE_MIN, MOST_STAGES = 2880.0, 12
CLUSTER_ANSWERS_S = 10
MODEL_NOTE = "Worked out, not cooked: the model's own error isn't in these odds; cross-test before it is printed."


@dataclass(frozen=True)
class HeatAnswer:
    """What a recipe may say of its time.

    Attributes: says, sentences in order; cautions, always shown; start_looking_min; window_min; own_min, as written; probability,
        probability_low, probability_high, that a reader who looks in these minutes finds it done; by_the_clock, unlooked;
        never, share of kitchens where it can't be; matters, (input, share of the spread, minutes from end to end); sizes, (factor,
        from, to); curve, (minutes, core °C, surface °C) of the kitchen as written, from the first stage; lost_percent and crust_mm at
        the window's start; sources of the targets; kitchens_agree with out-times; kitchens, how many were cooked; ready, (minute, share of
        readers' kitchens in which every target holds then).
    """

    says: tuple[str, ...]
    cautions: tuple[str, ...]
    start_looking_min: int
    window_min: tuple[float, float]
    own_min: tuple[float, float]
    probability: float
    probability_low: float
    probability_high: float
    by_the_clock: float
    never: float
    matters: tuple[tuple[str, float, float], ...]
    sizes: tuple[tuple[float, float, float], ...]
    curve: tuple[tuple[float, float, float], ...]
    lost_percent: float
    crust_mm: float
    sources: tuple[str, ...]
    kitchens_agree: bool
    kitchens: int
    ready: tuple[tuple[float, float], ...] = ()


@dataclass(frozen=True)
class FitAnswer:
    """A probe log's fit: says, sentences; estimates (name, value, low, high, unit, known); residual_sd_c; curve (minutes, log, fitted)."""

    says: tuple[str, ...]
    cautions: tuple[str, ...]
    estimates: tuple[tuple[str, float, float, float, str, bool], ...]
    residual_sd_c: float
    curve: tuple[tuple[float, float, float], ...]


def material_of(food: str) -> Material:
    """The material of a pantry food by its name, or of `water=0.79, protein=0.02, …`.

    Raises: QuantityError.
    """
    from proofpan.science import foods
    from proofpan.science.heat import HeatError, food_material

    try:
        if "=" in food:
            parts = dict(part.split("=", 1) for part in food.split(","))
            return food_material({name.strip(): float(share) for name, share in parts.items()}, name="as given")
        found = foods.look_up(food)
        if found is None or found.composition is None:
            known = [f.name for f in foods.pantry().values() if f.composition is not None]
            raise QuantityError(f"No composition of {quoted(food)} is in the pantry. {did_you_mean(food, known)}")
        return food_material(found.composition, name=found.name)
    except HeatError as error:
        raise QuantityError(str(error)) from None
    except ValueError:
        raise QuantityError(f"{quoted(food)} can't be read; write a food's name, or water=0.79, protein=0.02, carbohydrate=0.17.") from None


def stage_of(text: str, last: bool) -> tuple[str, float | None, float | None]:
    """(kind, temperature, minutes) of `oven 200`, `soak 20 for 30 min`, `boil`.

    Raises: QuantityError: the last stage's minutes are what is asked, all others need theirs.
    """
    found = _STAGE.fullmatch(text.strip().lower())
    if found is None:
        raise QuantityError(f"The stage {quoted(text)} can't be read; write it as: boil, or oven 200, or soak 20 for 30 min.")
    minutes = float(found["for"]) if found["for"] else None
    if last and minutes is not None:
        raise QuantityError(f"The last stage's minutes are what is worked out; leave them out of {quoted(text)}.")
    if not last and minutes is None:
        raise QuantityError(f"Say how long {quoted(text)} lasts, as: {text.strip()} for 10 min.")
    return found["kind"], float(found["at"]) if found["at"] else None, minutes


def dish_of(
    food: str, shape: str, sizes_cm: Sequence[float], stages: Sequence[str], until: Sequence[str], start_c: float = 20.0,
    heat_transfer_w_m2k: float | None = None, oven_offset_c: float = 0.0, what: str = "", altitude_m: float = 0.0,
) -> Dish:
    """What is cooked, from words. Parameters as in `heat`. Raises: QuantityError."""
    from proofpan.science.heat import Dish, HeatError, piece_of, refuse_unsuited, stage, wanted_targets

    try:
        refuse_unsuited(food, what, *until)
    except HeatError as error:
        raise QuantityError(str(error)) from None
    if not stages or not until:
        raise QuantityError("Name at least one stage, such as boil, and one target, such as tender.")
    material = material_of(food)
    read = [stage_of(text, i == len(stages) - 1) for i, text in enumerate(stages)]
    if sum(minutes or 0.0 for _, _, minutes in read) > LONGEST_BEFORE_MIN or len(stages) > MOST_STAGES:
        raise QuantityError(f"What comes before lasts two days at most, in {MOST_STAGES - 1} stages at most: for longer, begin with what it is then.")
    try:
        before: tuple[Stage, ...] = tuple(stage(kind, float(m or 0), t, altitude_m=altitude_m) for kind, t, m in read[:-1])
        kind, temperature, _ = read[-1]
        usual = stage(kind, 1.0, temperature)
        if temperature is None and kind not in ("boil", "simmer", "steam"):
            temperature = float(usual.ambient_c)  # type: ignore[arg-type]
        if temperature is not None:
            temperature += oven_offset_c
        return Dish(piece_of(shape, *sizes_cm), material, kind, temperature, wanted_targets(until), start_c, before, heat_transfer_w_m2k, altitude_m)
    except HeatError as error:
        raise QuantityError(str(error)) from None


def called(shape: str) -> str:
    """What a sentence calls pieces of a shape: `Cubes`."""
    return {"finite cylinder": "Short cylinders", "one-sided slab": "Slabs heated from one side"}.get(shape, shape.capitalize() + "s")


def until_words(until: Sequence[str]) -> str:
    """What holds when it is done, in words: `until tender`, `until its core is 74 °C`."""
    words = [f"its core is {name} °C" if re.fullmatch(r"[\d.\s–-]+", name.strip()) else name.strip() for name in until]
    return f"until {' and '.join(words)}" if words else ""


def heat(
    food: str, shape: str, sizes_cm: Sequence[float], stages: Sequence[str], until: Sequence[str], *, start_c: float = 20.0,
    heat_transfer_w_m2k: float | None = None, oven_offset_c: float = 0.0, oven_error_c: float = 15.0, size_share: float = 0.25,
    altitude_m: float = 1500.0, trays: int = 2, out_min: Sequence[float] = (), kitchens: int = 128, seed: int = 0,
    cores: int | None = None, cluster: str | None = None, what: str = "", own_altitude_m: float = 0.0,
) -> HeatAnswer:
    """Minutes for a recipe, with the odds that they hold in a reader's kitchen.

    Parameters: food, a pantry name or mass fractions; shape and whole sizes; stages in order, the last without minutes; until, targets
        that must all hold; heat_transfer_w_m2k and oven_offset_c of our oven, as fitted to its log; how readers' kitchens spread
        (`science.heat.Kitchens`); out_min, when it really came out; kitchens, how many are cooked; cores (None: all); cluster, a Dask
        scheduler's address (the same numbers); what, what a sentence calls the pieces (else by their shape); own_altitude_m, of the
        kitchen as written.
    Raises: QuantityError; StudyError, where the cluster can't be used.
    """
    from proofpan.science.heat import HeatError, Kitchens, cook, forgiveness, sentences, stage, with_out_times

    dish = dish_of(food, shape, sizes_cm, stages, until, start_c, heat_transfer_w_m2k, oven_offset_c, what, own_altitude_m)
    spread = Kitchens(oven_error_c, True, size_share, max(altitude_m, own_altitude_m), trays)
    try:
        f = forgiveness(dish, spread, kitchens, seed, run=_runner(cores, cluster))
        joined, agrees, said = with_out_times(f, out_min)
        shown = stage(dish.kind, max(f.own_min[0] * 1.5, f.own_min[0] + 2), dish.temperature_c, altitude_m=own_altitude_m,
                      heat_transfer_w_m2k=heat_transfer_w_m2k)
        cooked = cook(dish.piece, dish.material, [*dish.before, shown], start_c)
    except HeatError as error:
        raise QuantityError(str(error)) from None
    at = (sum(s.minutes for s in dish.before) + f.own_min[0]) * 60
    row = int(abs(cooked.times_s - at).argmin())
    curve = tuple(zip((cooked.times_s / 60).round(3).tolist(), cooked.core_c.round(2).tolist(), cooked.surface_c.round(2).tolist(), strict=True))
    says = (*sentences(joined, sizes_cm[0], what or called(shape), until_words(until)), said)
    return HeatAnswer(
        says, (*f.cautions, MODEL_NOTE), joined.start_looking_min, joined.window_min, f.own_min, f.probability, f.probability_low,
        f.probability_high, f.by_the_clock, f.never, f.matters, f.sizes, curve, 100 * float(cooked.lost_fraction[row]),
        1000 * float(cooked.crust_m[row]), tuple(f"{t.name}: {t.source} ({t.confidence})" for t in dish.targets), agrees, kitchens,
        ready_shares(f.from_min, f.to_min),
    )


def ready_shares(begins: NDArray[np.float64], ends: NDArray[np.float64]) -> tuple[tuple[float, float], ...]:
    """(minute, share of kitchens done then and not yet overdone), from before the first to after nearly all.

    Parameters: begins and ends, shape (kitchens,), minutes; not a number where the targets never hold together.
    """
    import numpy as np

    some = begins[np.isfinite(begins)]
    if not some.size:
        return ()
    last = float(np.quantile(some, 0.97)) * 1.25
    minutes = np.linspace(max(0.0, 0.8 * float(some.min())), last, READY_POINTS)
    share = ((begins[:, None] <= minutes) & (ends[:, None] >= minutes)).mean(axis=0)
    return tuple(zip(minutes.round(2).tolist(), share.round(4).tolist(), strict=True))


def fit(
    log: ProbeLog, food: str, shape: str, sizes_cm: Sequence[float], stages: Sequence[str], free: Sequence[str] = (), start_c: float | None = None
) -> FitAnswer:
    """Our oven from a core's probe log: heat-transfer coefficient, offset and effective size with their intervals.

    Parameters: log, from when the piece went in; stages, the one that was logged; free, what is fitted (all three if none is named).
    Raises: QuantityError.
    """
    from proofpan.science.heat import CAUTION, FIT_PARAMETERS, HeatError, fit_log, piece_of, refuse_unsuited, stage

    if len(stages) != 1:
        raise QuantityError("A fit takes the one stage that was logged, as: --stage 'oven 200'.")
    kind, temperature, _ = stage_of(stages[0], last=True)
    material = material_of(food)
    try:
        refuse_unsuited(food)
        got: OvenFit = fit_log(log.times_s - log.times_s[0], log.temperature_c, piece_of(shape, *sizes_cm), material,
                               stage(kind, 1.0, temperature), start_c, tuple(free) or FIT_PARAMETERS)
    except HeatError as error:
        raise QuantityError(str(error)) from None
    minutes = ((log.times_s - log.times_s[0]) / 60).round(3).tolist()
    return FitAnswer(
        got.says, (CAUTION,), tuple((e.name, e.value, e.low, e.high, e.unit, e.known) for e in got.estimates), got.residual_sd_c,
        tuple(zip(minutes, log.temperature_c.round(2).tolist(), got.fitted_c.round(2).tolist(), strict=True)),
    )


def _runner(cores: int | None, cluster: str | None) -> Callable[[Callable[[Any], Any], Sequence[Any]], Iterable[Any]]:
    if cluster:
        return lambda work, parts: _on_cluster(work, parts, cluster)
    return lambda work, parts: _on_cores(work, parts, cores)


def _on_cores(work: Callable[[Any], Any], parts: Sequence[Any], cores: int | None) -> list[Any]:
    busy = min(len(parts), cores or os.cpu_count() or 1)
    if busy < 2 or sys.platform != "linux" or multiprocessing.current_process().daemon:
        return [work(part) for part in parts]
    from concurrent.futures import ProcessPoolExecutor

    with ProcessPoolExecutor(busy, mp_context=multiprocessing.get_context("fork")) as pool:
        return list(pool.map(work, parts))


def _on_cluster(work: Callable[[Any], Any], parts: Sequence[Any], cluster: str) -> list[Any]:
    try:
        from distributed import Client
    except ImportError:
        raise StudyError("A cluster needs the extra: pip install 'proofpan[cluster]'.") from None
    try:
        client = Client(cluster, timeout=CLUSTER_ANSWERS_S)
    except (OSError, ValueError):
        raise StudyError(f"No cluster answers at {cluster}.") from None
    with client:
        return list(client.gather(client.map(work, parts)))

