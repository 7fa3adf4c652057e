"""A version's recipe, worked out: amounts in grams, where each line comes from, scaled, in any reader's measures, in words."""

from __future__ import annotations

from typing import Any

from pydantic import PrivateAttr

from proofpan.steps.cautions import DEFER, cautions
from proofpan.steps.costing import Cost, cost_of
from proofpan.steps.making import recipe_of
from proofpan.steps.observing import number_in
from proofpan.steps.recipe_jsonld import jsonld_of
from proofpan.steps.recipe_measures import REGIONS, line_in_region, oven_in_region
from proofpan.steps.recipe_scaling import scaled_line, tin_factor
from proofpan.study.countries import measures_of
from proofpan.study.errors import QuantityError, StudyError, quoted
from proofpan.study.fields import Doc
from proofpan.study.recipe import Ingredient, Recipe, Step
from proofpan.study.study import Study
from proofpan.study.versions import Version

STATUSES = ("cooked", "cross-tested", "worked out", "read")
JAM_SOLIDS, FRUIT_SOLIDS = 0.65, 0.08


class RecipeLine(Doc):
    """One ingredient line: in words, in grams, as it was written, and where it comes from."""

    text: str
    item: str
    grams: tuple[float, float] | None = None
    written: str = ""
    status: str = "worked out"
    group: str | None = None
    note: str = ""


class RecipeStep(Doc):
    """One step: in words, with its times."""

    id: str
    text: str
    do: str
    minutes: tuple[float, float] | None = None
    until: str | None = None
    status: str = "worked out"


class RecipeNutrition(Doc):
    """Label figures per 100 g and per serve; `missing` names what has no figures, so that the sums are at least so much."""

    per_100_g: tuple[tuple[str, str], ...] = ()
    per_serve: tuple[tuple[str, str], ...] = ()
    missing: tuple[str, ...] = ()


class WorkedRecipe(Doc):
    """A version's recipe; `scaled` and `to` hand back another."""

    title: str
    headnote: str | None = None
    makes: str | None = None
    serves: float | None = None
    tin: str | None = None
    equipment: tuple[str, ...] = ()
    lines: tuple[RecipeLine, ...]
    method: tuple[RecipeStep, ...] = ()
    allergens: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    blocks: tuple[str, ...] = ()
    nutrition: RecipeNutrition = RecipeNutrition()
    cost: Cost = Cost()
    notes: tuple[str, ...] = ()
    keeping: str | None = None
    credits: tuple[str, ...] = ()
    disclosure: str | None = None
    active_minutes: float | None = None
    total_minutes: float | None = None
    country: str | None = None
    region: str | None = None
    invented: bool = False
    version: str = ""
    _base: Recipe | None = PrivateAttr(default=None)
    _study: Study | None = PrivateAttr(default=None)

    @property
    def ingredients(self) -> tuple[str, ...]:
        """The lines as text."""
        return tuple(line.text for line in self.lines)

    def line_of(self, kind: str, name: str) -> int | None:
        """The line of the study file on which an ingredient or a step stands, where it came from one."""
        return None if self._study is None else self._study.line_of(kind, name)

    @property
    def base(self) -> Recipe | None:
        """The document behind it."""
        return self._base

    def scaled(self, *, serves: float | None = None, makes: str | None = None, by: float | None = None, tin: str | None = None) -> WorkedRecipe:
        """The recipe for another number of serves, yield, factor or tin.

        Raises: QuantityError when it can't be worked out.
        """
        given = {k: v for k, v in {"serves": serves, "makes": makes, "by": by, "tin": tin}.items() if v is not None}
        if len(given) != 1:
            raise QuantityError("Scale by one thing: serves, makes, by or tin.")
        factor = self._factor(**given)
        if not 0.02 <= factor <= 200:
            raise QuantityError(f"Scaling by {factor:.3g} is more than this text can bear: 0.02 to 200 times.")
        lines, notes = [], []
        for line in self.lines:
            text, note = scaled_line(line.text, factor, measures_of(self.country))
            grams = None if line.grams is None else (line.grams[0] * factor, line.grams[1] * factor)
            lines.append(line.model_copy(update={"text": text, "grams": grams, "note": note, "status": _down(line.status, factor)}))
            notes += [note] if note else []
        said = ["Times and oven stay as they were for the size that was cooked: look early, and note when it is done."] if factor != 1 else []
        count = number_in(self.makes) if self.makes else None
        made = self.makes.replace(f"{count:g}", f"{count * factor:.3g}", 1) if self.makes and count else self.makes
        return self._with(lines=tuple(lines), makes=makes or made, serves=(self.serves * factor) if self.serves else self.serves,
                          tin=tin or self.tin, notes=(*self.notes, *notes, *said), method=tuple(
                              s.model_copy(update={"status": _down(s.status, factor)}) for s in self.method))

    def _factor(self, serves: float | None = None, makes: str | None = None, by: float | None = None, tin: str | None = None) -> float:
        if by is not None:
            return float(by)
        if serves is not None:
            now = self.serves or (number_in(self.makes) if self.makes else None)
            if not now:
                raise QuantityError("The recipe says neither how many it serves nor what it makes: scale it by a factor.")
            return float(serves) / now
        if makes is not None:
            now, wanted = number_in(self.makes) if self.makes else None, number_in(makes)
            if not now or not wanted:
                raise QuantityError(f"{quoted(makes)} and {quoted(self.makes or 'no yield')} can't be compared: give numbers of one thing.")
            return wanted / now
        return tin_factor(self.tin, str(tin), [s.do for s in self.method])

    def to(self, region: str) -> WorkedRecipe:
        """The recipe in a reader's measures and names: "US", "UK", "AU" or "metric".

        Raises: QuantityError for another region.
        """
        if region not in REGIONS:
            raise QuantityError(f"{quoted(region)} isn't a region here: {', '.join(REGIONS)}.")
        lines = tuple(
            line.model_copy(update={"text": line_in_region(line.text, line.item, line.grams, region, self.country),
                                    "status": line.status}) for line in self.lines
        )
        renamed = _renames(self.lines, region, self.country)
        method = tuple(s.model_copy(update={"text": oven_in_region(_rename(s.text, renamed), region)}) for s in self.method)
        return self._with(lines=lines, method=method, region=region, title=_rename(self.title, renamed))

    def _with(self, **changes: Any) -> WorkedRecipe:
        copy = self.model_copy(update=changes)
        copy._base, copy._study = self._base, self._study
        return copy

    def text(self) -> str:
        """The recipe as plain text."""
        out = [self.title, ""]
        out += [self.headnote, ""] if self.headnote else []
        facts = [f"Makes {self.makes}" if self.makes else "", f"Serves {self.serves:g}" if self.serves else "",
                 f"Active {self.active_minutes:.0f} min" if self.active_minutes else "",
                 f"In all {self.total_minutes:.0f} min" if self.total_minutes else ""]
        out += [" · ".join(f for f in facts if f), ""] if any(facts) else []
        out += ["Contains: " + ", ".join(self.allergens), ""] if self.allergens else []
        out += [f"Careful: {c}" for c in self.cautions] + ([""] if self.cautions else [])
        group: str | None = None
        for line in self.lines:
            if line.group != group and line.group:
                out.append(f"For {line.group}")
            group = line.group
            out.append(line.text)
        out += [""] + [f"{i}. {s.text}" for i, s in enumerate(self.method, 1)]
        out += ["", *self.notes] if self.notes else []
        out += [f"Keeps: {self.keeping}"] if self.keeping else []
        out += list(self.credits) + ([self.disclosure] if self.disclosure else [])
        out += ["Invented: an example of Larkspur Lane."] if self.invented else []
        return "\n".join(out).strip() + "\n"

    def jsonld(self) -> dict[str, Any]:
        """The recipe as schema.org structured data."""
        return jsonld_of(self)


def _down(status: str, factor: float) -> str:
    """A scaled line is worked out until someone cooks it."""
    return status if factor == 1 else "worked out"


def recipe(study: Study, version: Any) -> WorkedRecipe:
    """The full recipe of a version.

    Parameters: version, a mapping or a text.

    Raises: StudyError when the study has no base recipe or no such version.
    """
    if study.brief.base is None:
        raise StudyError("This study has no base recipe: add one to see a version's recipe.")
    chosen = study.version(version)
    made = recipe_of(study, chosen)
    status = _status(study, chosen)
    country = study.brief.kitchen.country
    lines = tuple(_line(i, measures_of(country), status) for i in made.ingredients)
    found = cautions(made, base=study.brief.base)
    minutes = _actual_minutes(study, chosen)
    steps = tuple(_step(s, status, minutes if s.oven is not None else None) for s in made.method)
    worked = WorkedRecipe(
        title=made.title, headnote=made.headnote, makes=made.makes, serves=float(made.serves) if made.serves else None, tin=made.tin,
        equipment=made.equipment, lines=lines, method=steps, allergens=_allergens(made, study, chosen),
        cautions=tuple(c.says for c in found), blocks=tuple(c.blocks for c in found if c.blocks), nutrition=_nutrition(made, lines),
        cost=cost_of(study, made), notes=(*made.notes, *_yields(made, lines)), keeping=_keeping(made, found), credits=_credits(study, made),
        disclosure=study.brief.disclosure, active_minutes=_active(made), total_minutes=_total(made), country=country,
        invented=study.brief.invented, version=str(chosen),
    )
    worked._base, worked._study = made, study
    return worked


def _status(study: Study, version: Version) -> str:
    good = [t for t in study.cooked if t.version == version and not t.failed and t.draft == study.brief.draft]
    return "cooked" if good else "worked out"


def _line(line: Ingredient, country: str | None, status: str) -> RecipeLine:
    from proofpan.science.foods import density_g_per_ml
    from proofpan.science.measures import parse_line

    parsed = parse_line(line.text, country)
    grams = parsed.mass_g
    if grams is None and parsed.volume_ml is not None:
        density = density_g_per_ml(line.item)
        grams = None if density is None else (parsed.volume_ml[0] * density[1], parsed.volume_ml[1] * density[2])
    if grams is None and parsed.low is not None and parsed.unit == "each":
        from proofpan.science.foods import mass_g

        piece = mass_g(line.item, 1, parsed.size or "medium")
        grams = None if piece is None else (piece[1] * parsed.low, piece[2] * (parsed.high or parsed.low))
    return RecipeLine(text=line.text, item=line.item, grams=grams, written=line.text, status=status, group=line.group)


def _step(step: Step, status: str, actual: tuple[float, float] | None) -> RecipeStep:
    text = step.do.rstrip()
    minutes = actual or step.minutes
    if step.oven is not None and f"{step.oven.temperature_c:g}" not in text and step.oven.text not in text:
        text = f"{text.rstrip('.')} at {step.oven.text}."
    if minutes is not None and not any(w in text for w in ("minute", " min", "hour")):
        low, high = minutes
        span = f"{low:g} minute{'' if low == 1 else 's'}" if low == high else f"{low:g} to {high:g} minutes"
        until = f", until {step.until}" if step.until and step.until not in text else ""
        text = f"{text.rstrip('.')}: {span}{until}."
    return RecipeStep(id=step.id, text=text, do=step.do, minutes=minutes, until=step.until, status=status)


def _actual_minutes(study: Study, version: Version) -> tuple[float, float] | None:
    """The range of minutes between start and out of that version's own trials, when they were recorded."""
    from proofpan.steps.timing import minutes_between

    found = [m for t in study.cooked if t.version == version and not t.failed and (m := minutes_between(t.start, t.out)) is not None]
    return (min(found), max(found)) if found else None


def _allergens(made: Recipe, study: Study, version: Version) -> tuple[str, ...]:
    from proofpan.science.foods import allergens

    regime = "US" if study.brief.kitchen.country == "US" else "EU"
    options = [f.option(version.get(f.name, "")) for f in study.factors]
    said = [c for o in options if o is not None for c in o.contains]
    return tuple(dict.fromkeys([*allergens([i.item for i in made.ingredients], regime), *said]))


def _nutrition(made: Recipe, lines: tuple[RecipeLine, ...]) -> RecipeNutrition:
    from proofpan.science.foods import nutrition

    known = [(line.item, (line.grams[0] + line.grams[1]) / 2) for line in lines if line.grams is not None]
    unknown = tuple(line.item for line in lines if line.grams is None)
    if not known:
        return RecipeNutrition(missing=unknown)
    serves = made.serves or (number_in(made.makes) if made.makes else None) or 1
    found = nutrition(known, None, serves)
    return RecipeNutrition(per_100_g=tuple(found.per_100_g.label_eu().items()), per_serve=tuple(found.per_serve.label_eu().items()),
                           missing=(*found.missing, *unknown))


def _yields(made: Recipe, lines: tuple[RecipeLine, ...]) -> tuple[str, ...]:
    """What a jam makes when it is boiled to 65 % solids."""
    if not any(w in made.title.casefold() for w in ("jam", "marmalade", "jelly", "conserve")):
        return ()
    sugar = sum(sum(line.grams) / 2 for line in lines if line.grams and "sugar" in line.item.casefold())
    fruit = sum(sum(line.grams) / 2 for line in lines if line.grams and not any(
        w in line.item.casefold() for w in ("sugar", "water", "pectin", "butter", "salt")))
    if not sugar or not fruit:
        return ()
    grams = (fruit * FRUIT_SOLIDS + sugar) / JAM_SOLIDS
    return (f"Boiled to 65 % solids it makes about {grams:,.0f} g, the fruit taken as 8 % soluble solids (common practice, no source).",)


def _keeping(made: Recipe, found: Any) -> str | None:
    """How it keeps; a preserve whose ratio was changed is never said to keep at room temperature."""
    if any(c.kind == "preserve" for c in found):
        return f"In the fridge, unless a tested process says otherwise. {DEFER}"
    return made.keeping


def _credits(study: Study, made: Recipe) -> tuple[str, ...]:
    from proofpan.study.words import capital

    return (*made.credits, *(f"{capital(c.credit)} {c.source}." for c in study.claims if c.credit and c.source))


def _active(made: Recipe) -> float | None:
    from proofpan.steps.limits import active_minutes

    return active_minutes(made) or None


def _total(made: Recipe) -> float | None:
    if made.total_minutes is not None:
        return made.total_minutes
    known = [sum(s.minutes) / 2 for s in made.method if s.minutes is not None]
    return sum(known) if known else None


def _renames(lines: tuple[RecipeLine, ...], region: str, country: str | None) -> dict[str, str]:
    """{word in the text: word in the region} for items whose name changes."""
    from proofpan.steps.recipe_measures import name_in_region

    out = {}
    for line in lines:
        new = name_in_region(line.item, region, country)
        if new != line.item:
            out[line.item] = new
    return out


def _rename(text: str, renames: dict[str, str]) -> str:
    import re

    for old, new in renames.items():
        text = re.sub(rf"\b{re.escape(old)}\b", new, text, flags=re.I)
    return text
