"""Checking a source: what it means in our units, ours as a multiple of it, and where both lie against what is usual."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from pydantic import ValidationError

from proofpan.study.brief import Claim
from proofpan.study.countries import measures_of
from proofpan.study.errors import QuantityError, did_you_mean, quoted
from proofpan.study.study import Study

if TYPE_CHECKING:
    from proofpan.science.measures import ClaimResult


def check_claim(claim: Mapping[str, Any] | Claim, *, study: Study | None = None) -> ClaimResult:
    """What a source means beside what we intend.

    Parameters: claim, a mapping with words, source, country, ours, ours_country, or one of a study's claims; study, whose country is
        that of `ours` where the claim names none.

    Raises: QuantityError when a part is missing or the two can't be compared.
    """
    from proofpan.science import measures

    read = claim if isinstance(claim, Claim) else _read(claim)
    if not read.ours:
        raise QuantityError("Say what you intend beside it: “ours” is missing, such as 40 g malt syrup per 250 g flour.")
    home = study.brief.kitchen.country if study is not None else None
    ours_country = read.ours_country or home or read.country
    try:
        source = read.source or "the source"
        return measures.check(read.words, read.ours, measures_of(read.country), measures_of(ours_country), source=source)
    except measures.QuantityError as error:
        raise QuantityError(str(error)) from None


def _read(claim: Mapping[str, Any]) -> Claim:
    try:
        return Claim.model_validate(dict(claim))
    except ValidationError as error:
        first = error.errors()[0]
        key = str(first["loc"][-1]) if first["loc"] else ""
        if first["type"] == "missing":
            raise QuantityError(f"The key {quoted(key)} is missing: what does the source say?") from None
        if first["type"] == "extra_forbidden":
            raise QuantityError(f"{quoted(key)} isn't a key of a claim. {did_you_mean(key, list(Claim.model_fields))}") from None
        raise QuantityError(str(first.get("ctx", {}).get("says") or first["msg"]), field=key) from None


def claims_of(study: Study) -> tuple[tuple[Claim, ClaimResult | QuantityError], ...]:
    """Every claim of a study with its check, or with why it can't be checked."""
    out: list[tuple[Claim, ClaimResult | QuantityError]] = []
    for claim in study.claims:
        try:
            out.append((claim, check_claim(claim, study=study)))
        except QuantityError as error:
            out.append((claim, error))
    return tuple(out)
