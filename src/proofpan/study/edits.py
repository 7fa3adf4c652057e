"""Edits: what an option does to the base recipe. Eight verbs, each one document."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Annotated, Any, ClassVar

from pydantic import Discriminator, Field, Tag, model_validator

from proofpan.study.errors import did_you_mean, quoted
from proofpan.study.fields import Doc, Name, Text, as_number, plain_number, wrong
from proofpan.study.recipe import SETTINGS, Ingredient, Recipe, Step

Target = tuple[str, str]   # ("ingredient", item), ("setting", "bake.oven"), ("step", id), ("recipe", "")


class Swap(Doc):
    """Another ingredient line in place of one."""

    verb: ClassVar[str] = "swap"
    swap: Name
    for_: Ingredient = Field(alias="for")


class Set(Doc):
    """Another amount of an ingredient, or another setting of a step."""

    verb: ClassVar[str] = "set"
    set: Name
    to: Any


class Scale(Doc):
    """A multiple of an ingredient's amount."""

    verb: ClassVar[str] = "scale"
    scale: Name
    by: float

    @model_validator(mode="before")
    @classmethod
    def _above_zero(cls, value: Any) -> Any:
        if isinstance(value, dict) and "by" in value:
            by = as_number(value["by"])
            if by <= 0:
                raise wrong(f"Scaling by {plain_number(by)} leaves nothing: use drop to leave the ingredient out.")
            if by > 1000:
                raise wrong(f"Scaling by {plain_number(by)} is absurd: at most 1,000 times.")
        return value


class Add(Doc):
    """One more ingredient line."""

    verb: ClassVar[str] = "add"
    add: Ingredient
    after: Name | None = None


class Drop(Doc):
    """Leave out an ingredient or a step."""

    verb: ClassVar[str] = "drop"
    drop: Name


class Insert(Doc):
    """One more step, after or before another (at the end when neither is said)."""

    verb: ClassVar[str] = "insert"
    insert: Step
    after: Name | None = None
    before: Name | None = None

    @model_validator(mode="before")
    @classmethod
    def _one_place(cls, value: Any) -> Any:
        if isinstance(value, dict):
            if value.get("after") is not None and value.get("before") is not None:
                raise wrong("An inserted step stands after one step or before one, not both.")
            if isinstance(value.get("insert"), str):
                raise wrong("An inserted step is {id: rest, do: \"Rest, covered.\", minutes: 30}.")
        return value


class Replace(Doc):
    """Another step in place of one."""

    verb: ClassVar[str] = "replace"
    replace: Name
    with_: Step = Field(alias="with")

    @model_validator(mode="before")
    @classmethod
    def _keeps_id(cls, value: Any) -> Any:
        if isinstance(value, dict) and isinstance(value.get("with"), dict) and "id" not in value["with"]:
            return {**value, "with": {"id": value.get("replace"), **value["with"]}}
        if isinstance(value, dict) and isinstance(value.get("with"), str):
            return {**value, "with": {"id": value.get("replace"), "do": value["with"]}}
        return value


class TakeRecipe(Doc):
    """A whole other recipe from a file beside the study."""

    verb: ClassVar[str] = "recipe"
    recipe: Text
    taken: Recipe | None = None


VERBS: dict[str, tuple[str, ...]] = {
    "swap": ("for",), "set": ("to",), "scale": ("by",), "add": (), "drop": (), "insert": (), "replace": ("with",),
    "recipe": (),
}


def _verb(value: Any) -> str | None:
    if isinstance(value, Doc):
        return f"<{value.verb}>"  # type: ignore[attr-defined]
    if not isinstance(value, dict):
        return None
    return next((f"<{v}>" for v in VERBS if v in value), None)


def check_shape(value: Any) -> Any:
    """Refuse an edit without a known verb, or without the word that belongs to it, before pydantic sees it."""
    if isinstance(value, Doc):
        return value
    if not isinstance(value, dict):
        raise wrong("An edit is {swap: …, for: …}, {set: …, to: …}, {scale: …, by: …}, {add: …}, {drop: …} and so on.")
    verb = next((v for v in VERBS if v in value), None)
    if verb is None:
        if not value:
            raise wrong("The edit is empty: write {swap: …, for: …}, {set: …, to: …}, {scale: …, by: …}, {add: …}, {drop: …} and so on.")
        word = next(iter(value))
        raise wrong(f"{quoted(word)} isn't an edit: swap, set, scale, add, drop, insert, replace or recipe. "
                    + did_you_mean(str(word), list(VERBS)))
    for need in VERBS[verb]:
        if value.get(need) is None:
            raise wrong(f"The edit {verb} needs “{need}”: {{{verb}: …, {need}: …}}.")
    return value


Edit = Annotated[
    Annotated[Swap, Tag("<swap>")] | Annotated[Set, Tag("<set>")] | Annotated[Scale, Tag("<scale>")]
    | Annotated[Add, Tag("<add>")] | Annotated[Drop, Tag("<drop>")] | Annotated[Insert, Tag("<insert>")]
    | Annotated[Replace, Tag("<replace>")] | Annotated[TakeRecipe, Tag("<recipe>")],
    Discriminator(_verb),
]


@dataclass(frozen=True)
class EditFault(Exception):
    """An edit that doesn't fit the recipe it is made to."""

    says: str


def names_match(written: str, named: str) -> bool:
    """Whether two names are the same but for case and spaces."""
    return " ".join(written.split()).casefold() == " ".join(named.split()).casefold()


def find_ingredient(recipe: Recipe, name: str) -> int:
    """The index of the one ingredient of that item or id.

    Raises: EditFault when there is none, or two without ids.
    """
    by_id = [i for i, x in enumerate(recipe.ingredients) if x.id and names_match(x.id, name)]
    if by_id:
        return by_id[0]
    found = [i for i, x in enumerate(recipe.ingredients) if names_match(x.item, name)]
    if len(found) == 1:
        return found[0]
    if len(found) > 1:
        lines = " and ".join(quoted(recipe.ingredients[i].text) for i in found[:2])
        raise EditFault(f"{quoted(name)} stands twice, in {lines}: give one of them an id and name that.")
    known = [x.named for x in recipe.ingredients]
    raise EditFault(f"{quoted(name)} is not an ingredient of the base recipe. {did_you_mean(name, known)}")


def find_step(recipe: Recipe, name: str) -> int:
    """The index of a step by its id."""
    for i, step in enumerate(recipe.method):
        if names_match(step.id, name):
            return i
    ids = [s.id for s in recipe.method]
    raise EditFault(f"{quoted(name)} is not a step of the method: its steps are {', '.join(ids) or 'none'}.")


def setting_of(recipe: Recipe, name: str) -> tuple[int, str] | None:
    """`bake.oven` as (index of the step, "oven"), or none when it names an ingredient."""
    if "." not in name:
        return None
    step, _, setting = name.rpartition(".")
    if any(names_match(x.named, name) for x in recipe.ingredients):
        return None
    if not any(names_match(s.id, step) for s in recipe.method) and not setting.strip().isidentifier():
        return None
    index = find_step(recipe, step)
    if setting not in SETTINGS:
        raise EditFault(f"{quoted(setting)} isn't a setting of a step: {', '.join(SETTINGS)}.")
    return index, setting


def targets(recipe: Recipe, edit: Any) -> tuple[Target, ...]:
    """What an edit touches: two factors that touch one thing collide."""
    if isinstance(edit, TakeRecipe):
        return (("recipe", ""),)
    if isinstance(edit, Set):
        setting = setting_of(recipe, edit.set)
        if setting is not None:
            return (("setting", f"{recipe.method[setting[0]].id}.{setting[1]}"),)
        return (("ingredient", recipe.ingredients[find_ingredient(recipe, edit.set)].named),)
    if isinstance(edit, (Swap, Scale)):
        name = edit.swap if isinstance(edit, Swap) else edit.scale
        return (("ingredient", recipe.ingredients[find_ingredient(recipe, name)].named),)
    if isinstance(edit, Replace):
        return (("step", recipe.method[find_step(recipe, edit.replace)].id),)
    if isinstance(edit, Drop):
        kind, index = find_dropped(recipe, edit.drop)
        return ((kind, recipe.ingredients[index].named if kind == "ingredient" else recipe.method[index].id),)
    if isinstance(edit, Insert):
        return (("new step", edit.insert.id),)
    return ()


def find_dropped(recipe: Recipe, name: str) -> tuple[str, int]:
    """An ingredient's or a step's index."""
    steps = [i for i, s in enumerate(recipe.method) if names_match(s.id, name)]
    items = [i for i, x in enumerate(recipe.ingredients) if names_match(x.named, name) or names_match(x.item, name)]
    if steps and not items:
        return "step", steps[0]
    if items:
        return "ingredient", find_ingredient(recipe, name)
    known = [x.named for x in recipe.ingredients] + [s.id for s in recipe.method]
    raise EditFault(f"{quoted(name)} is neither an ingredient nor a step of the base recipe. {did_you_mean(name, known)}")


def apply(recipe: Recipe, edits: Iterable[Any], *, by: str | None = None, country: str | None = None) -> Recipe:
    """The recipe after edits, in order.

    Raises: EditFault where an edit doesn't fit.
    """
    for edit in edits:
        recipe = _apply_one(recipe, edit, by, country)
    return recipe


def _apply_one(recipe: Recipe, edit: Any, by: str | None, country: str | None) -> Recipe:
    if isinstance(edit, TakeRecipe):
        return edit.taken if edit.taken is not None else recipe
    if isinstance(edit, Swap):
        return _swap(recipe, edit, by)
    if isinstance(edit, Set):
        return _set(recipe, edit, by, country)
    if isinstance(edit, Scale):
        return _scale(recipe, edit, by, country)
    if isinstance(edit, Add):
        at = len(recipe.ingredients) if edit.after is None else find_ingredient(recipe, edit.after) + 1
        line = edit.add.model_copy(update={"changed_by": by})
        return recipe.model_copy(update={"ingredients": _put(recipe.ingredients, at, line)})
    if isinstance(edit, Drop):
        kind, index = find_dropped(recipe, edit.drop)
        field = "ingredients" if kind == "ingredient" else "method"
        parts = getattr(recipe, field)
        return recipe.model_copy(update={field: parts[:index] + parts[index + 1 :]})
    if isinstance(edit, Insert):
        return _insert(recipe, edit, by)
    index = find_step(recipe, edit.replace)
    step = edit.with_.model_copy(update={"changed_by": by})
    return recipe.model_copy(update={"method": recipe.method[:index] + (step,) + recipe.method[index + 1 :]})


def _put(parts: tuple[Any, ...], at: int, part: Any) -> tuple[Any, ...]:
    return parts[:at] + (part,) + parts[at:]


def _swap(recipe: Recipe, edit: Swap, by: str | None) -> Recipe:
    index = find_ingredient(recipe, edit.swap)
    old = recipe.ingredients[index]
    new = edit.for_.model_copy(update={"changed_by": by, "id": edit.for_.id or old.id, "group": old.group})
    others = [x.item for i, x in enumerate(recipe.ingredients) if i != index]
    method = tuple(rename_in_step(s, old.item, new.item, others, by) for s in recipe.method)
    lines = recipe.ingredients[:index] + (new,) + recipe.ingredients[index + 1 :]
    return recipe.model_copy(update={"ingredients": lines, "method": method})


def rename_in_step(step: Step, old: str, new: str, others: list[str], by: str | None) -> Step:
    """A step's words with the swapped ingredient's name, by its full name or by its last word where only it bears that."""
    if old.casefold() == new.casefold():
        return step
    text = re.sub(rf"\b{re.escape(old)}\b", new, step.do, flags=re.I)
    last = old.split()[-1]
    shared = any(re.search(rf"\b{re.escape(last)}\b", o, re.I) for o in others)
    if text == step.do and len(last) > 2 and not shared:
        text = re.sub(rf"\b{re.escape(last)}\b", new, step.do, flags=re.I)
    return step if text == step.do else step.model_copy(update={"do": text, "changed_by": by})


def _set(recipe: Recipe, edit: Set, by: str | None, country: str | None) -> Recipe:
    setting = setting_of(recipe, edit.set)
    if setting is not None:
        index, name = setting
        old = recipe.method[index]
        value = edit.to
        step = Step.model_validate({**old.model_dump(), name: value, "changed_by": by})
        return recipe.model_copy(update={"method": recipe.method[:index] + (step,) + recipe.method[index + 1 :]})
    index = find_ingredient(recipe, edit.set)
    old_line = recipe.ingredients[index]
    amount = str(getattr(edit.to, "written", edit.to)).strip()
    prep = f", {old_line.prep}" if old_line.prep else ""
    text = amount if old_line.item.casefold() in amount.casefold() else f"{amount} {old_line.item}{prep}"
    return _with_line(recipe, index, text, by, country)


def _scale(recipe: Recipe, edit: Scale, by: str | None, country: str | None) -> Recipe:
    from proofpan.study.lines import scale_line

    index = find_ingredient(recipe, edit.scale)
    return _with_line(recipe, index, scale_line(recipe.ingredients[index].text, edit.by, country), by, country)


def _with_line(recipe: Recipe, index: int, text: str, by: str | None, country: str | None) -> Recipe:
    old = recipe.ingredients[index]
    new = Ingredient.model_validate(text, context={"country": country})
    new = new.model_copy(update={"item": old.item, "id": old.id, "group": old.group, "changed_by": by})
    lines = recipe.ingredients[:index] + (new,) + recipe.ingredients[index + 1 :]
    return recipe.model_copy(update={"ingredients": lines})


def _insert(recipe: Recipe, edit: Insert, by: str | None) -> Recipe:
    step = edit.insert.model_copy(update={"changed_by": by})
    if any(names_match(s.id, step.id) for s in recipe.method):
        raise EditFault(f"A step {quoted(step.id)} stands in the method already: give the inserted one another id.")
    at = len(recipe.method)
    if edit.after is not None:
        at = find_step(recipe, edit.after) + 1
    elif edit.before is not None:
        at = find_step(recipe, edit.before)
    return recipe.model_copy(update={"method": _put(recipe.method, at, step)})
