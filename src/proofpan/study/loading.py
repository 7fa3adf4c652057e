"""From a study file to a brief: shapes by the models, names and edits by the checks, every fault with its line."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from pydantic import BaseModel, ValidationError

from proofpan.study import brief as brief_module
from proofpan.study.brief import Brief
from proofpan.study.checks import check_brief
from proofpan.study.countries import COUNTRIES
from proofpan.study.edits import VERBS
from proofpan.study.errors import Fault, StudyError, did_you_mean, nearest, quoted
from proofpan.study.recipe import Recipe
from proofpan.study.source import PathKey, Source, dotted, read_source

WHERE_MISSING = {"title": "give the study a title", "attributes": "say what is judged", "factors": "say what varies"}
RECORD_KEYS = ("record",)


def load_brief(source: Source, *, folder: Path | None = None) -> Brief:
    """A validated brief.

    Raises: StudyError with the first fault, its line and how many more there are.
    """
    value = {k: v for k, v in source.value.items() if k not in RECORD_KEYS}
    country = _country_of(value)
    other = _other_recipes(value, folder, source)
    try:
        brief = Brief.model_validate(_take_recipes(value, other), context={"country": country})
    except ValidationError as error:
        faults = [fault_of(e, source) for e in _without_misspelt(error.errors())]
        raise StudyError.of(_without_echoes(faults), source.file) from None
    found = check_brief(brief)
    if found:
        faults = [Fault(says, dotted(path), source.line(path)) for says, path in found]
        raise StudyError.of(faults, source.file)
    return brief


def _country_of(value: dict[str, Any]) -> str | None:
    kitchen = value.get("kitchen")
    code = kitchen.get("country") if isinstance(kitchen, dict) else None
    return COUNTRIES.get(str(code).upper()) if code is not None else None


def _without_misspelt(errors: list[Any]) -> list[Any]:
    """A missing key is no second fault where an unknown one beside it is a slip of it."""
    slips = {(*e["loc"][:-1], near) for e in errors if e["type"] == "extra_forbidden"
             and (near := nearest(str(e["loc"][-1]), _known_keys(e["loc"][:-1]))) is not None}
    inside = {tuple(e["loc"][:n]) for e in errors for n in range(len(e["loc"]))}   # a list is only empty since what it held was wrong
    return [e for e in errors if not (e["type"] == "missing" and tuple(e["loc"]) in slips or e["type"] == "too_short" and tuple(e["loc"]) in inside)]


def _without_echoes(faults: list[Fault]) -> list[Fault]:
    """One fault a place: a union reports each of its members."""
    seen: dict[tuple[int | None, str], Fault] = {}
    for fault in faults:
        seen.setdefault((fault.line, fault.field), fault)
    return list(seen.values())


def real_path(loc: tuple[Any, ...], value: Any) -> PathKey:
    """A validation error's place without what isn't in the file (tags, function names)."""
    path: list[str | int] = []
    for key in loc:
        if isinstance(key, str) and (key.startswith("<") or key.startswith("function-") or key in ("Target",)):
            continue
        if isinstance(value, dict) and key in value or isinstance(value, list) and isinstance(key, int) and key < len(value):
            value = value[key]
        elif isinstance(value, dict) and key == "for_" and "for" in value:
            key, value = "for", value["for"]
        elif isinstance(value, dict) and key == "with_" and "with" in value:
            key, value = "with", value["with"]
        else:
            value = None
        path.append(key)
    return tuple(path)


def fault_of(error: Any, source: Source) -> Fault:
    """A validation error in a cook's words."""
    path = real_path(error["loc"], source.value)
    says = _words(error, path, source.value)
    return Fault(says, dotted(path), source.line(path))


def _words(error: Any, path: PathKey, value: Any) -> str:
    kind, given = error["type"], error.get("input")
    key = path[-1] if path else ""
    if kind == "sentence":
        return str(error["ctx"]["says"])
    if kind == "missing":
        hint = WHERE_MISSING.get(str(key), "add it")
        return f"The key {quoted(key)} is missing: {hint}."
    if kind == "extra_forbidden":
        return f"{quoted(key)} isn't a key here. {did_you_mean(str(key), _known_keys(path[:-1]))}"
    if kind in ("tuple_type", "list_type", "dict_type", "model_type", "model_attributes_type"):
        shape = "a list" if kind in ("tuple_type", "list_type") else "a group of keys"
        return f"{quoted(key)} must be {shape}, not {_kind(given)}."
    if kind == "too_short":
        return f"{quoted(key)} is an empty list: one entry at least is wanted."
    if kind in ("union_tag_not_found", "union_tag_invalid"):
        return f"This isn't an edit: {', '.join(VERBS)}."
    if kind in ("bool_type", "bool_parsing"):
        return f"{quoted(given)} isn't true or false."
    if kind in ("greater_than", "less_than"):
        return f"{quoted(given)} is outside 0 to 1: a level such as 0.95 is wanted."
    return f"{quoted(given)} can't be taken for {quoted(key)}."


def _kind(value: Any) -> str:
    if value is None:
        return "nothing"
    if isinstance(value, bool):
        return "a truth value"
    if isinstance(value, dict):
        return "a group of keys"
    if isinstance(value, (list, tuple)):
        return "a list"
    return "a number" if isinstance(value, (int, float)) else "text"


def _known_keys(path: PathKey) -> list[str]:
    """The keys that a model takes at a path."""
    model: Any = Brief
    for key in path:
        if isinstance(key, int):
            continue
        field = model.model_fields.get(key) or next(
            (f for f in model.model_fields.values() if f.alias == key), None
        )
        found = _model_in(field.annotation) if field is not None else None
        if found is None:
            return []
        model = found
    internal = {"changed_by", "taken", "text", "temperature_c", "drafts"}
    return [f.alias or n for n, f in model.model_fields.items() if n not in internal]


def _model_in(annotation: Any) -> Any:
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return annotation
    for inner in getattr(annotation, "__args__", ()):
        found = _model_in(inner)
        if found is not None:
            return found
    return None


def _other_recipes(value: dict[str, Any], folder: Path | None, source: Source) -> dict[str, Any]:
    """Recipes that options take from files beside the study."""
    out: dict[str, Any] = {}
    for n, factor in enumerate(_listed(value.get("factors"))):
        for m, option in enumerate(_listed(factor.get("options") if isinstance(factor, dict) else None)):
            if not isinstance(option, dict):
                continue
            names = [option.get("recipe")] + [
                e.get("recipe") for e in _listed(option.get("edits")) if isinstance(e, dict) and "recipe" in e
            ]
            for name in names:
                if isinstance(name, str) and name not in out:
                    path: PathKey = ("factors", n, "options", m)
                    out[name] = _read_recipe(name, folder, source, path)
    return out


def _listed(value: Any) -> list[Any]:
    """What is written as a list; of anything else nothing, since what is wrong with it is said where it is checked."""
    return value if isinstance(value, list) else []


def _read_recipe(name: str, folder: Path | None, source: Source, path: PathKey) -> Any:
    line = source.line(path)
    if folder is None:
        raise StudyError(f"The recipe {quoted(name)} can't be read: the study isn't in a folder.", line=line)
    target = (folder / name).resolve()
    if not target.is_relative_to(folder.resolve()):
        says = f"The recipe {quoted(name)} lies outside the study's folder: keep it beside the study."
        raise StudyError(says, file=source.file, line=line)
    if not target.is_file():
        near = nearest(name, [p.name for p in folder.glob("*.y*ml")] + [p.name for p in folder.glob("*.toml")])
        hint = f" Did you mean {quoted(near)}?" if near else ""
        says = f"There is no recipe file {quoted(name)} beside the study.{hint}"
        raise StudyError(says, file=source.file, line=line)
    inner = read_source(target)
    recipe = inner.value.get("base", inner.value)
    keys = set(Recipe.model_fields)
    try:
        return Recipe.model_validate({k: v for k, v in recipe.items() if k in keys}, context={"country": None})
    except ValidationError as error:
        fault = fault_of(error.errors()[0], inner)
        raise StudyError(fault.says, file=target, line=fault.line, field=fault.field) from None


def _take_recipes(value: dict[str, Any], other: dict[str, Any]) -> dict[str, Any]:
    """Each `recipe: FILE` as an edit that carries the recipe itself."""
    if not other:
        return value
    factors = []
    for factor in value["factors"]:
        options = []
        for option in factor["options"]:
            if isinstance(option, dict) and option.get("recipe") in other:
                first = {"recipe": option["recipe"], "taken": other[option["recipe"]]}
                option = {**option, "edits": [first, *(option.get("edits") or [])]}
            edits = []
            for edit in (option.get("edits") or []) if isinstance(option, dict) else []:
                named = isinstance(edit, dict) and edit.get("recipe") in other
                edits.append({**edit, "taken": other[edit["recipe"]]} if named else edit)
            options.append({**option, "edits": edits} if isinstance(option, dict) and edits else option)
        factors.append({**factor, "options": options})
    return {**value, "factors": factors}


def schema() -> dict[str, Any]:
    """The JSON Schema of a study file."""
    out = Brief.model_json_schema(by_alias=True, mode="validation")
    out["$schema"] = "https://json-schema.org/draft/2020-12/schema"
    out["title"] = "proofpan study"
    out["$comment"] = f"format {brief_module.NEWEST_FORMAT}"
    return out
