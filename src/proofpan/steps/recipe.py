"""A version's recipe, worked out: amounts in grams, where each line comes from, scaled, in any reader's measures, in words."""

from __future__ import annotations

import math
import re
from functools import partial
from typing import Any

from pydantic import PrivateAttr

from proofpan.steps.cautions import cautions
from proofpan.steps.costing import cost_of
from proofpan.steps.making import recipe_of
from proofpan.steps.observing import number_in
from proofpan.steps.recipe_facts import (
    allergens_changed,
    allergens_in,
    allergens_of_line,
    altitude_notes,
    credits_of,
    keeping_of,
    yield_notes,
)
from proofpan.steps.recipe_jsonld import jsonld_of
from proofpan.steps.recipe_lines import STATUSES, status_of_lines, worked_lines, worked_steps
from proofpan.steps.recipe_measures import REGIONS, Ovens, amounts_in_step, line_in_region, name_in_region, step_in_region
from proofpan.steps.recipe_nutrition import nutrition_of
from proofpan.steps.recipe_scaling import scaled_line, scaled_step
from proofpan.steps.recipe_spoons import PACKING
from proofpan.steps.recipe_styling import egg_note, styled_line, styled_numbers
from proofpan.steps.recipe_text import text_of
from proofpan.steps.recipe_tins import tin_factor
from proofpan.steps.recipe_using import factor_by_ingredient
from proofpan.steps.recipe_yield import MASS, yield_factor
from proofpan.steps.swaps import swap_notes
from proofpan.study.countries import measures_of
from proofpan.study.crosstest import CrossTest
from proofpan.study.errors import QuantityError, StudyError, did_you_mean, quoted
from proofpan.study.house import HouseStyle, house_style, house_styles
from proofpan.study.lines import fraction_text
from proofpan.study.reader_recipe import ReaderRecipe
from proofpan.study.recipe import Recipe
from proofpan.study.study import Study
from proofpan.study.wording import say
from proofpan.study.words import capital

LEAST, MOST = 0.02, 200.0
WORKED_OUT = "worked out"
AS_WRITTEN, STYLE, OWN = "as written", "style:", "own"
SAME_TIMES = "Times and oven stay as they were for the size that was cooked: look early, and note when it is done."


class WorkedRecipe(ReaderRecipe):
    """A version's recipe; `scaled` and `to` hand back another, always worked out from the text as it was written."""

    _base: Recipe | None = PrivateAttr(default=None)
    _study: Study | None = PrivateAttr(default=None)
    _written: WorkedRecipe | None = PrivateAttr(default=None)

    @property
    def base(self) -> Recipe | None:
        """The document behind it."""
        return self._base

    def line_of(self, kind: str, name: str) -> int | None:
        """The line of the study file on which an ingredient or a step stands, where it came from one."""
        return None if self._study is None else self._study.line_of(kind, name)

    def scaled(
        self, *, serves: float | None = None, makes: str | None = None, by: float | None = None, tin: str | None = None,
        using: str | None = None, test_batch: bool | None = None,
    ) -> WorkedRecipe:
        """The recipe for another size, by one thing.

        Parameters: serves, how many; makes, another yield ("60 crackers"); by, a factor; tin, another tin ("23 x 33 cm"); using, so much
            of one ingredient ("180 g rolled oats"); test_batch, True for what one trial makes.

        Raises: QuantityError when it can't be worked out.
        """
        given = [x for x in (serves, makes, by, tin, using, test_batch or None) if x is not None]
        if len(given) != 1:
            raise QuantityError("Scale by one thing: serves, makes, by, tin, using or test_batch.")
        if test_batch:
            makes = self._base.trial_makes if self._base is not None else None
            if not makes:
                raise QuantityError("The recipe names no test batch: give it trial_makes, such as 10 crackers.")
        factor, said = (factor_by_ingredient(self.lines, using, self.country), "") if using is not None else _factor(self, serves, makes, by, tin)
        total = self.factor * factor
        if not LEAST <= factor <= MOST or not LEAST <= total <= MOST:
            times = f"{factor:,.0f}" if factor >= 100 else f"{factor:.3g}"
            raise QuantityError(f"Scaling by {times} is more than this text can bear: {LEAST:g} to {MOST:g} times.")
        written = self._written or self
        out = _scaled(written, total, makes, tin, said)
        return out if self.region is None else _in_region(out, self.region)

    def to(self, region: str) -> WorkedRecipe:
        """The recipe in a reader's measures and names: "US", "UK", "AU", "NZ" or "metric".

        Raises: QuantityError for another region.
        """
        wanted = {"USA": "US", "GB": "UK", "METRIC": "metric"}.get(str(region).strip().upper(), str(region).strip().upper())
        if wanted not in REGIONS:
            raise QuantityError(f"{quoted(region)} isn't a region here. {did_you_mean(str(region), REGIONS)}")
        written = self._written or self
        return _in_region(written if self.factor == 1 else _scaled(written, self.factor, self.makes, self.tin, ""), wanted)

    def in_house(self, style: str | HouseStyle) -> WorkedRecipe:
        """The recipe as a house writes it: its measures, names, spelling and words ("AU", "NZ", "UK", "US", or a style read from a file).

        Raises: QuantityError for an unknown style.
        """
        house = house_style(style) if isinstance(style, str) else style
        written = self._written or self
        out = _in_region(written if self.factor == 1 else _scaled(written, self.factor, self.makes, self.tin, ""), house.measures, house)
        return _in_style(out, house)

    def shown_as(self, choice: str) -> WorkedRecipe:
        """As a reader chose: "as written", a region ("US"), "style:AU", or "style:own" for the kitchen's own style.

        Raises: QuantityError for another choice.
        """
        if choice in ("", AS_WRITTEN):
            return self
        if not choice.startswith(STYLE):
            return self.to(choice)
        name = choice.removeprefix(STYLE)
        own = self._study.brief.kitchen.style if self._study is not None else None
        if name == OWN and isinstance(own, HouseStyle):
            return self.in_house(own)
        if name not in house_styles():
            raise QuantityError(f"{quoted(name)} isn't a house style here. {did_you_mean(name, house_styles())}")
        return self.in_house(name)

    def changed(self, **changes: Any) -> WorkedRecipe:
        """The same with other contents, which then stand for what was written: whatever is scaled or put into other measures keeps them."""
        copy = self._like(**changes)
        copy._written = None
        return copy

    def frozen_as(self, printed: ReaderRecipe) -> WorkedRecipe:
        """The very text that was printed, where this is what it was worked out from: scaled and in other measures it begins from this one."""
        copy = WorkedRecipe.model_validate(printed.model_dump())
        copy._base, copy._study, copy._written = self._base, self._study, self._written or self
        return copy

    def _like(self, **changes: Any) -> WorkedRecipe:
        copy = self.model_copy(update=changes)
        copy._base, copy._study, copy._written = self._base, self._study, self._written or self
        return copy

    def text(self) -> str:
        """The recipe as plain text."""
        return text_of(self)

    def jsonld(self) -> dict[str, Any]:
        """The recipe as schema.org structured data."""
        return jsonld_of(self)


def recipe(study: Study, version: Any, *, cross_tests: CrossTest | None = None) -> WorkedRecipe:
    """The full recipe of a version.

    Parameters: version, a mapping or a text; cross_tests, what other kitchens reported of it, so that its lines may say so.

    Raises: StudyError when the study has no base recipe or no such version.
    """
    if study.brief.base is None:
        raise StudyError("This study has no base recipe: add one to see a version's recipe.")
    chosen = study.version(version)
    made = recipe_of(study, chosen)
    country = study.brief.kitchen.country
    tested = cross_tests is not None and cross_tests.worked[0] > 0
    statuses = status_of_lines(study, chosen, made, cross_tested=tested)
    lines = worked_lines(made, country, statuses)
    lines = tuple(x.model_copy(update={"allergens": allergens_of_line(x.item, country)}) for x in lines)
    found = cautions(made, base=study.brief.base)
    trials = [t for t in study.cooked if t.version == chosen]
    worked = WorkedRecipe(
        title=made.title, headnote=made.headnote, makes=made.makes, serves=float(made.serves) if made.serves else None, tin=made.tin,
        equipment=made.equipment, lines=lines, method=worked_steps(made, statuses, trials, cross_tests), allergens=allergens_in(made, study, chosen),
        cautions=tuple(c.says for c in found), blocks=tuple(c.blocks for c in found if c.blocks),
        nutrition=nutrition_of(study, chosen, made, lines), cost=cost_of(study, made),
        notes=(*made.notes, *yield_notes(made, lines), *altitude_notes(made, study.brief.kitchen.altitude_m)), variations=made.variations,
        swapped=swap_notes(cross_tests),
        make_ahead=made.make_ahead, keeping=keeping_of(made, found), credits=credits_of(study, made), disclosure=study.brief.disclosure,
        active_minutes=_active(made), total_minutes=_total(made), country=country, diet=_diet(made), invented=study.brief.invented,
        version=str(chosen), allergen_note=allergens_changed(study, chosen, made),
    )
    worked._base, worked._study = made, study
    return worked


def _factor(now: WorkedRecipe, serves: float | None, makes: str | None, by: float | None, tin: str | None) -> tuple[float, str]:
    """(factor, what was taken for granted)."""
    for value in (serves, by):
        if value is not None and not (isinstance(value, (int, float)) and math.isfinite(value) and value > 0):
            raise QuantityError(f"{quoted(value)} isn't a number above zero.")
    if by is not None:
        return float(by), ""
    if serves is not None:
        held = now.serves or (number_in(now.makes) if now.makes else None)
        if not held:
            raise QuantityError("The recipe says neither how many it serves nor what it makes: scale it by a factor.")
        said = "" if now.serves else say("What it makes ({makes}) was taken as the number of serves.", makes=now.makes)
        return float(serves) / held, said
    if makes is not None:
        return yield_factor(now.makes, str(makes)), ""
    written = now._written or now
    factor, said = tin_factor(now.tin, str(tin), [s.do for s in written.method] if now.factor == 1 else [])
    return factor, said


def _scaled(written: WorkedRecipe, factor: float, makes: str | None, tin: str | None, said: str) -> WorkedRecipe:
    if factor == 1:
        return written._like()
    country = measures_of(written.country)
    lines, notes = [], []
    for line in written.lines:
        grams = None if line.grams is None else (line.grams[0] * factor, line.grams[1] * factor)
        found = scaled_line(line.written, factor, country, line.item, None if grams is None else sum(grams) / 2)
        lines.append(line.model_copy(update={"text": found.text, "grams": line.grams if found.kept else grams, "note": found.note,
                                             "status": WORKED_OUT}))
        notes += [found.note] if found.note else []
        spooned = "about" in found.text and "(about" not in line.written
        notes += [say(PACKING)] if spooned else []
    method = tuple(
        s.model_copy(update={"text": scaled_step(s.text, factor, written.makes, country), "status": WORKED_OUT}) for s in written.method
    )
    notes += [said] if said else []
    return written._like(
        lines=tuple(lines), method=method, makes=makes or _scaled_yield(written.makes, factor), tin=tin or written.tin, factor=factor,
        serves=written.serves * factor if written.serves else None, notes=tuple(dict.fromkeys((*written.notes, *notes, say(SAME_TIMES)))),
        cost=written.cost.times(factor),
    )


def _scaled_yield(makes: str | None, factor: float) -> str | None:
    from proofpan.study.lines import amount_of_line, rewritten, written_number

    if not makes:
        return makes

    def write(value: float, unit: str) -> str:
        return written_number(value, unit) if value < 10 or unit in MASS else fraction_text(round(value))

    return rewritten(makes, amount_of_line(makes), factor, write)


def _in_style(out: WorkedRecipe, house: HouseStyle) -> WorkedRecipe:
    """Numbers, spelling and words of a house, once the measures are its own."""
    def said(text: str | None) -> str | None:
        return None if text is None else styled_numbers(house.said(text), house)

    def done(text: str) -> str:
        return styled_numbers(house.done(text), house)

    notes = tuple(styled_numbers(house.said(n), house) for n in out.notes)
    eggs = egg_note(house, tuple(x.text for x in out.lines))
    return out._like(
        title=said(out.title), headnote=said(out.headnote), makes=said(out.makes), make_ahead=said(out.make_ahead), keeping=said(out.keeping),
        tin=None if out.tin is None else done(out.tin), equipment=tuple(done(k) for k in out.equipment),
        lines=tuple(x.model_copy(update={"text": styled_line(house.said(x.text), house), "item": house.said(x.item),
                                         "note": styled_numbers(house.said(x.note), house)}) for x in out.lines),
        method=tuple(s.model_copy(update={"text": done(s.text)}) for s in out.method),
        notes=(*notes, eggs) if eggs else notes, variations=tuple(done(v) for v in out.variations),
        cautions=tuple(styled_numbers(c, house) for c in out.cautions), style=house.name, headings=house.headings,
    )


def _settings(worked: WorkedRecipe) -> tuple[tuple[float, bool], ...]:
    base = worked._base
    return tuple((s.oven.temperature_c, bool(s.oven.fan)) for s in base.method if s.oven is not None) if base is not None else ()


def _in_region(worked: WorkedRecipe, region: str, house: HouseStyle | None = None) -> WorkedRecipe:
    ovens = None if house is None else Ovens(house.fan, house.gas)
    settings = _settings(worked)
    if region == worked.country:
        if ovens is None:
            return worked._like(region=region)
        same = tuple(s.model_copy(update={"text": step_in_region(s.text, region, settings, ovens)}) for s in worked.method)
        return worked._like(region=region, method=same)
    lines = tuple(
        x.model_copy(update={"text": line_in_region(x.text, x.item, x.grams, region, worked.country),
                             "item": name_in_region(x.item, region, worked.country)})
        for x in worked.lines
    )
    renames = {x.item: new for x in worked.lines if (new := name_in_region(x.item, region, worked.country)) != x.item}
    method = tuple(
        s.model_copy(update={"text": step_in_region(amounts_in_step(renamed(s.text, renames), region, worked.country), region, settings, ovens)})
        for s in worked.method
    )
    spooned = any("(about" in x.text for x in lines) and say(PACKING) not in worked.notes
    nutrition = worked.nutrition if region == "metric" else worked.nutrition.ruled("US" if region == "US" else "EU")
    return worked._like(nutrition=nutrition, lines=lines, method=method, region=region, title=renamed(worked.title, renames),
                        notes=(*worked.notes, say(PACKING)) if spooned else worked.notes)


def renamed(text: str, renames: dict[str, str]) -> str:
    """A text with items' names as a region says them, whole words and once each."""
    for old, new in sorted(renames.items(), key=lambda pair: -len(pair[0])):
        text = re.sub(rf"(?<![\w-]){re.escape(old)}(?![\w-])", partial(_in_case, new), text, flags=re.I)
    return text


def _in_case(new: str, match: re.Match[str]) -> str:
    return capital(new) if match[0][:1].isupper() else new


def _diet(made: Recipe) -> tuple[str, ...]:
    """Diets that every item fits; none where an item isn't known."""
    from proofpan.science.foods import look_up

    foods = [look_up(i.item) for i in made.ingredients]
    return tuple(d for d in ("vegan", "vegetarian") if all(f is not None and d in f.diet for f in foods))


def _active(made: Recipe) -> float | None:
    from proofpan.steps.limits import active_minutes

    return active_minutes(made) or None


def _total(made: Recipe) -> float | None:
    if made.total_minutes is not None:
        return made.total_minutes
    known = [sum(s.minutes) / 2 for s in made.method if s.minutes is not None]
    return sum(known) if known else None


__all__ = ["STATUSES", "WorkedRecipe", "recipe"]
