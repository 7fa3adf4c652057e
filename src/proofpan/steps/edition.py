"""Publishing: whether a version is ready, and the edition that freezes it with its evidence."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import Any

from proofpan.steps.audit import audit
from proofpan.steps.cautions import cautions
from proofpan.steps.edition_text import with_print
from proofpan.steps.making import recipe_of
from proofpan.steps.swaps import swap_notes
from proofpan.study.crosstest import CrossTest
from proofpan.study.edition import Edition
from proofpan.study.errors import NotReady, QuantityError, StudyError, did_you_mean, quoted
from proofpan.study.house import HouseStyle, house_style, house_styles
from proofpan.study.study import Study
from proofpan.study.trials import Trial
from proofpan.study.versions import Version, benchmark_of
from proofpan.study.words import counted, on_scale, times, version_words

MAKES_RUNNING = 2
WAIVABLE = ("cross-test", "audit", "full size", "two good makes")


def publish(
    study: Study, version: Any, cross_tests: CrossTest | None = None, waive: Mapping[str, str] | None = None,
    on: date | str | None = None, approved_by: str | None = None, house: str | HouseStyle | None = None,
) -> Edition:
    """Freeze a version as an edition.

    Parameters: version, a mapping or text; cross_tests, as read by `cross_test`; waive, {"cross-test": why} for what is knowingly left
        out; on, the date of publication; approved_by, who approved it; house, the style its text
        is written in, by name or as read from a file; without one, the kitchen's own.

    Raises: NotReady with `.reasons` (sentences) while something stops it; StudyError for a version that isn't in the study; QuantityError
        for an unknown house style.
    """
    wanted, style = study.version(version), _style(study, house)
    waived = dict(waive or {})
    for name, why in waived.items():
        if name not in WAIVABLE:
            raise StudyError(f"{quoted(name)} can't be waived: {', '.join(WAIVABLE)} can, each with a reason.")
        if not str(why).strip():
            raise StudyError(f"Waiving {quoted(name)} needs a reason.")
    day = date.fromisoformat(on) if isinstance(on, str) else on
    reasons = reasons_against(study, wanted, cross_tests, waived, day)
    if reasons:
        raise NotReady(reasons)
    return _edition(study, wanted, cross_tests, waived, day, approved_by, style)


def reasons_against(
    study: Study, version: Version, cross_tests: CrossTest | None, waived: Mapping[str, str], on: date | None
) -> tuple[str, ...]:
    """Why a version can't be published yet, as sentences; empty when it can."""
    if study.brief.base is None:
        return ("There is no recipe to publish: add a base recipe to the study.",)
    if benchmark_of(study.brief, version):
        return (f"{version_words(version)} is bought in: a benchmark is tasted, never published.",)
    recipe = recipe_of(study, version)
    out = [c.blocks for c in cautions(recipe, base=study.brief.base) if c.blocks is not None]
    out += _makes(study, version, waived)
    if "audit" not in waived:
        serious = [f for f in audit(recipe) if f.stops]
        out += [f.says for f in serious]
    if cross_tests is None and "cross-test" not in waived:
        out.append("No other kitchen has cooked it as written: add cross-tests, or waive them with a reason.")
    elif cross_tests is not None and cross_tests.worked[0] < cross_tests.worked[1] and "cross-test" not in waived:
        failed = cross_tests.worked[1] - cross_tests.worked[0]
        out.append(f"{counted(failed, 'cross-test')} failed: mend the text and test again, or waive it with a reason.")
    return tuple(out)


def _makes(study: Study, version: Version, waived: Mapping[str, str]) -> list[str]:
    makes = [t for t in study.cooked if t.version == version]
    out = []
    last = _running_good(makes)
    if makes and makes[-1].failed:
        out.append(f"Its latest trial failed ({makes[-1].failed}): make it again before it is published.")
    elif last < MAKES_RUNNING and "two good makes" not in waived:
        far = "once so far" if last else "not once yet"
        out.append(f"It should come out well twice running before it is published: {far}.")
    if not any(t.size == "full" and not t.failed for t in makes) and "full size" not in waived:
        out.append("It hasn't been made at full size: cook the whole published yield once.")
    return out


def _running_good(makes: list[Trial]) -> int:
    count = 0
    for trial in reversed(makes):
        if trial.failed:
            break
        count += 1
    return count


def _edition(
    study: Study, version: Version, cross_tests: CrossTest | None, waived: Mapping[str, str], on: date | None, approved_by: str | None,
    style: HouseStyle | None,
) -> Edition:
    from proofpan.steps.verdict import judge

    recipe = recipe_of(study, version)
    verdict = judge(study)
    row = next((r for r in verdict.rows if r.version == version), None)
    made = f"made {times(row.cooked)}" if row and row.cooked else "never made"
    evidence = [f"Likely {on_scale(row.score, row.low, row.high, verdict.scale)}, {made}."] if row else []
    evidence += list(cross_tests.says) if cross_tests is not None else []
    credit = [f"{c.credit[0].upper()}{c.credit[1:]} {c.source}." for c in study.claims if c.credit and c.source]
    edition = Edition(
        number=1, title=recipe.title, version=version, recipe=recipe, country=study.brief.kitchen.country, published=on, modified=None,
        says=verdict.publish.says if version == verdict.publish.version else (), evidence=tuple(evidence),
        cautions=tuple(c.says for c in cautions(recipe, base=study.brief.base)), credits=(*recipe.credits, *credit),
        disclosure=study.brief.disclosure, embargo=study.brief.embargo, approved_by=approved_by, approved_on=on if approved_by else None,
        house=style.name if style is not None else None, style=style, waived=tuple(waived.items()), swapped=swap_notes(cross_tests),
    )
    return with_print(study, edition)


def _style(study: Study, house: str | HouseStyle | None) -> HouseStyle | None:
    """The style a text is to be written in; none where the kitchen keeps none."""
    own = study.brief.kitchen.style
    wanted = house or own
    if wanted is None or isinstance(wanted, HouseStyle):
        return wanted
    if isinstance(own, HouseStyle) and wanted.strip().casefold() == own.name.casefold():
        return own
    if wanted.strip().casefold() not in {n.casefold() for n in house_styles()}:
        known = [*house_styles(), *([own.name] if isinstance(own, HouseStyle) else [])]
        raise QuantityError(f"{quoted(wanted)} isn't a house style here. {did_you_mean(wanted, known)}")
    return house_style(wanted)
