"""An edition: a published text, frozen, with its evidence; a correction makes the next."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping, Sequence
from datetime import date
from typing import Any

from pydantic import ValidationError

from proofpan.study.edits import Edit, EditFault, apply, check_shape
from proofpan.study.errors import StudyError
from proofpan.study.fields import Day, Doc, Text
from proofpan.study.house import HouseStyle
from proofpan.study.reader_recipe import ReaderRecipe
from proofpan.study.recipe import Recipe
from proofpan.study.trials import VersionField

OUTSIDE_THE_SEAL = frozenset({"digest", "approved_by", "approved_on", "copies"})     # who approved it may come later


class Copy(Doc):
    """A copy elsewhere: where it stands, which edition it shows, in which house's style, and of what kind it is."""

    where: Text
    edition: int
    note: Text = ""
    house: Text = ""
    kind: Text = ""
    id: Text = ""


class Edition(Doc):
    """A published text; `correct` makes the next edition.

    `recipe` is the document behind it, `printed` the text that readers got, in the house's style: what is sent out and what comes back is
    held against that one.
    """

    number: int
    title: Text
    version: VersionField
    recipe: Recipe
    country: str | None = None
    published: Day | None = None
    modified: Day | None = None
    says: tuple[str, ...] = ()
    evidence: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    credits: tuple[str, ...] = ()
    disclosure: str | None = None
    embargo: Day | None = None
    approved_by: str | None = None
    approved_on: Day | None = None
    house: str | None = None
    style: HouseStyle | None = None
    printed: ReaderRecipe | None = None
    waived: tuple[tuple[str, str], ...] = ()
    why: str = ""
    safety: bool = False
    warning: str | None = None
    changes: tuple[tuple[str, str, str], ...] = ()
    swapped: tuple[tuple[str, str], ...] = ()
    copies: tuple[Copy, ...] = ()
    digest: str = ""

    def correct(self, edits: Sequence[Any], why: str, safety: bool = False, *, on: date | str | None = None) -> Edition:
        """The next edition with the lines that changed.

        Parameters: edits, as an option's; why, in plain words; safety, True for an allergen, a dose, holding or a jar: it is then
            urgent, and the old edition shows a warning; on, the date.

        Raises: StudyError for edits that don't fit or change nothing, or a correction without a reason.
        """
        from pydantic import TypeAdapter

        if not why.strip():
            raise StudyError("A correction says why, in plain words.")
        adapter: TypeAdapter[Any] = TypeAdapter(Edit)
        recipe = self.recipe
        for given in edits:
            try:
                read = adapter.validate_python(check_shape(given), context={"country": self.country})
                recipe = apply(recipe, [read], by=f"edition {self.number + 1}", country=self.country)
            except EditFault as fault:
                raise StudyError(fault.says) from None
            except ValidationError as error:
                first = error.errors()[0]
                raise StudyError(str(first.get("ctx", {}).get("says") or first["msg"])) from None
        changes = changed_lines(self.recipe, recipe)
        if not changes:
            raise StudyError("The correction changes nothing: say which line it edits.")
        day = date.fromisoformat(on) if isinstance(on, str) else on
        return self.model_copy(update={
            "number": self.number + 1, "title": recipe.title, "recipe": recipe, "changes": changes, "why": why, "safety": safety,
            "modified": day, "warning": f"Corrected for safety: {why}" if safety else None, "approved_by": None, "approved_on": None, "printed": None,
        }).sealed()

    def sealed(self) -> Edition:
        """The same with the digest of its contents; who approved it stands outside the seal."""
        return self.model_copy(update={"digest": seal_of(self.model_dump(mode="json", by_alias=True))})

    def approved(self, by: str, on: date | None = None) -> Edition:
        """The same, approved by someone.

        Raises: StudyError without a name.
        """
        if not by.strip():
            raise StudyError("Say who approves it.", field="by")
        return self.model_copy(update={"approved_by": by.strip(), "approved_on": on})

    def is_final(self, on: date | None) -> bool:
        """Whether it may be shown as final: approved, and no embargo left on that day."""
        return bool(self.approved_by) and (self.embargo is None or (on is not None and on >= self.embargo))

    @property
    def public_from(self) -> date | None:
        """The first day on which readers may have it: when it was first published, or when the embargo ends if that is later."""
        days = [d for d in (self.published, self.embargo) if d is not None]
        return max(days) if self.published is not None else None

    @property
    def out_of_date(self) -> tuple[Copy, ...]:
        """Copies elsewhere that show an older edition; a safety correction is first on every one's list."""
        return tuple(c for c in self.copies if c.edition < self.number)


def seal_of(kept: Mapping[str, Any]) -> str:
    """The digest of an edition as it is kept: SHA-256 of its contents as JSON with sorted keys."""
    inside = {k: v for k, v in kept.items() if k not in OUTSIDE_THE_SEAL}
    return hashlib.sha256(json.dumps(inside, sort_keys=True, ensure_ascii=False, separators=(",", ":")).encode()).hexdigest()


def seal_holds(kept: Mapping[str, Any]) -> bool:
    """Whether an edition's contents, as they are kept, are still those that were sealed."""
    digest = str(kept.get("digest", ""))
    return digest == seal_of(kept) or ("printed" not in kept and digest == _first_seal(kept))


def _first_seal(kept: Mapping[str, Any]) -> str:
    """The digest as editions without a printed text were sealed: of the document, not of what is kept."""
    try:
        edition = Edition.model_validate(dict(kept))
    except ValidationError:
        return ""
    text = edition.model_dump_json(exclude={*OUTSIDE_THE_SEAL, "style", "printed"})
    return hashlib.sha256(text.encode()).hexdigest()


def recipe_lines(recipe: Recipe) -> dict[str, str]:
    """Every line of a recipe by a name that stays when its words change."""
    out = {k: str(v) for k in ("title", "headnote", "makes", "serves", "tin", "keeping") if (v := getattr(recipe, k)) is not None}
    for i, line in enumerate(recipe.ingredients, 1):
        out[f"ingredient {line.named}" if line.named else f"ingredient {i}"] = line.text
    for step in recipe.method:
        said = [step.do]
        if step.oven is not None:
            said.append(f"oven {step.oven.text}")
        if step.minutes is not None:
            low, high = step.minutes
            said.append(f"{low:g} min" if low == high else f"{low:g} to {high:g} min")
        if step.until:
            said.append(f"until {step.until}")
        out[f"step {step.id}"] = " · ".join(said)
    return out


def changed_lines(before: Recipe, after: Recipe) -> tuple[tuple[str, str, str], ...]:
    """(line, before, after) of every line that differs; an added or lost line has an empty side."""
    old, new = recipe_lines(before), recipe_lines(after)
    return tuple((k, old.get(k, ""), new.get(k, "")) for k in dict.fromkeys([*old, *new]) if old.get(k) != new.get(k))
