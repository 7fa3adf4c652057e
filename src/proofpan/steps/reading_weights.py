"""Weights before and after cooking, before and after trimming: yields and losses with what the scale leaves open."""

from __future__ import annotations

import math
from collections.abc import Sequence

from proofpan.steps.reading_reports import Figure, ReadingReport, figure_of
from proofpan.study.errors import TrialError

FINE_ENOUGH = 0.05
MOST_TIMES = 20.0
LARGEST_G = 1e6


def read_weights(
    raw_g: float | Sequence[float] = (), cooked_g: float | Sequence[float] = (), resolution_g: float = 1.0, *,
    bought_g: float | None = None, trimmed_g: float | None = None,
) -> ReadingReport:
    """Yield and cooking loss, trim loss and what to buy, the scale's resolution carried through.

    Parameters: raw_g and cooked_g, one weight or one a piece, in the same order; bought_g and trimmed_g, before and after trimming
        (as purchased, edible portion); resolution_g, what the scale shows to.
    Raises: TrialError for a weight that can't be one, lists that don't match, or nothing to reckon from.
    """
    step = _weight(resolution_g, "What the scale shows to", "scale_g")
    raw = [_weight(w, "The weight before", "raw") for w in _all(raw_g)]
    cooked = [_weight(w, "The weight after", "cooked") for w in _all(cooked_g)]
    if len(raw) != len(cooked):
        raise TrialError(f"{len(raw)} weights before and {len(cooked)} after: give one a piece, in the same order.", field="cooked")
    figures: list[Figure] = []
    weighed = [*raw, *cooked]
    if bought_g is not None or trimmed_g is not None:
        if bought_g is None or trimmed_g is None:
            raise TrialError("Trimming takes two weights: before it and after it.", field="trimmed" if trimmed_g is None else "bought")
        bought, trimmed = _weight(bought_g, "The weight before trimming", "bought"), _weight(trimmed_g, "The weight after trimming", "trimmed")
        if trimmed > bought + step:
            raise TrialError(f"{trimmed:g} g after trimming is more than the {bought:g} g before.", field="trimmed")
        figures += _trimming(bought, trimmed, step)
        weighed += [bought, trimmed]
    if raw:
        figures += _cooking(raw, cooked, step)
    if not figures:
        raise TrialError("Weigh before and after cooking, or before and after trimming.", field="raw")
    return ReadingReport(kind="weights", figures=tuple(figures), warnings=_coarse(min(weighed), step))


def _all(weights: float | Sequence[float]) -> list[float]:
    return [float(w) for w in weights] if isinstance(weights, Sequence) else [float(weights)]


def _weight(value: float, what: str, field: str) -> float:
    if not (math.isfinite(value) and 0 < value <= LARGEST_G):
        raise TrialError(f"{what} is {value:g} g: it must lie above zero, and a tonne is the most.", field=field)
    return float(value)


def _interval(name: str, value: float, sd: float, unit: str, how: str) -> Figure:
    return Figure(name=name, value=value, low=value - 2 * sd, high=value + 2 * sd, error_sd=sd, unit=unit, how=how)


def _cooking(raw: list[float], cooked: list[float], step: float) -> list[Figure]:
    from proofpan.science.measures.weighing import cooking_loss_percent
    from proofpan.science.reading import mean_reading

    for before, after in zip(raw, cooked, strict=True):
        if not before / MOST_TIMES <= after <= before * MOST_TIMES:
            raise TrialError(f"{before:g} g before and {after:g} g after: check the two weights.", field="cooked")
    losses = [cooking_loss_percent(before, after, step) for before, after in zip(raw, cooked, strict=True)]
    scale = f"scale of {step:g} g"
    if len(losses) == 1:
        how = f"weighed before and after on a {scale}; twice the standard uncertainty of its resolution; it speaks for what lay on the scale"
        u = losses[0].standard_uncertainty_percent
        return [_interval("cooking loss", losses[0].loss_percent, u, "%", how), _interval("yield", losses[0].yield_percent, u, "%", how)]
    shared = math.sqrt(sum(x.standard_uncertainty_percent**2 for x in losses)) / len(losses)
    how = f"each piece weighed before and after on a {scale}"
    return [
        figure_of(mean_reading(name, values, unit="%", how=how, instrument_sd=shared))
        for name, values in (("cooking loss", [x.loss_percent for x in losses]), ("yield", [x.yield_percent for x in losses]))
    ]


def _trimming(bought: float, trimmed: float, step: float) -> list[Figure]:
    from proofpan.science.measures import weighing

    share, lost = weighing.yield_percent(bought, trimmed)
    u = weighing.cooking_loss_percent(bought, trimmed, step).standard_uncertainty_percent
    u_lost = weighing.net_weight_g(bought, trimmed, step)[1]
    buy = weighing.as_purchased_g(100.0, share)
    how = f"weighed before and after trimming on a scale of {step:g} g; twice the standard uncertainty of its resolution"
    return [
        _interval("trim loss", lost, u_lost, "g", how),
        _interval("trim loss share", 100 - share, u, "%", how),
        _interval("trimmed yield", share, u, "%", f"edible portion over as purchased; {how}"),
        _interval("to buy for 100 g trimmed", buy, buy * u / share, "g", f"as purchased for 100 g of edible portion; {how}"),
    ]


def _coarse(least: float, step: float) -> tuple[str, ...]:
    from proofpan.science.measures.weighing import scale_is_fine_enough

    half, fine = scale_is_fine_enough(least, step, FINE_ENOUGH)
    if fine:
        return ()
    return (f"{least:g} g on a scale of {step:g} g is ±{100 * half:.0f} %: half a division either way. Use a finer scale, or weigh a larger batch.",)
