"""A study back into the file's own shape: text lines, numbers as written, defaults left out."""

from __future__ import annotations

from datetime import date
from typing import Any

from pydantic import BaseModel

from proofpan.study.brief import Brief, Taster
from proofpan.study.fields import plain_number
from proofpan.study.kitchen import Kitchen
from proofpan.study.recipe import Ingredient, OvenSetting, Recipe, Step

FLOW_WIDTH = 110


def brief_as_file(brief: Brief) -> dict[str, Any]:
    """A brief as the keys and values of a study file."""
    return {k: v for k, v in ((n, _field(brief, n)) for n in type(brief).model_fields) if v is not None}


def _field(brief: Brief, name: str) -> Any:
    value = getattr(brief, name)
    if value == type(brief).model_fields[name].get_default() and name not in ("title", "question"):
        return None
    if name == "tasters":
        return [_taster(t) for t in value]
    return plain(value)


def _taster(taster: Taster) -> Any:
    return taster.name if not taster.no and taster.left is None else plain(taster)


def plain(value: Any) -> Any:
    """Any document as plain values in the file's shape."""
    if isinstance(value, Ingredient):
        return _ingredient(value)
    if isinstance(value, OvenSetting):
        return value.text
    if isinstance(value, (Recipe, Step, Kitchen)):
        return _document(value, leave={"changed_by"})
    if isinstance(value, BaseModel):
        return _document(value, leave={"taken"})
    if isinstance(value, dict):
        return {k: plain(v) for k, v in value.items()}
    if isinstance(value, (list, tuple)):
        return [plain(v) for v in value]
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, float) and not isinstance(value, bool):
        return int(value) if value == int(value) else float(value)
    return str(value) if isinstance(value, str) else value


def _document(value: BaseModel, leave: set[str]) -> dict[str, Any]:
    out: dict[str, Any] = {}
    for name, field in type(value).model_fields.items():
        inner = getattr(value, name)
        if name in leave or (not field.is_required() and inner == field.get_default()):
            continue
        key = field.alias or name
        if name == "minutes":
            low, high = inner
            out[key] = plain(low) if low == high else [plain(low), plain(high)]
        elif name == "when":
            out[key] = {k: list(v) for k, v in inner}
        elif name == "options" and inner and isinstance(inner[0], tuple):
            out[key] = dict(inner)
        else:
            out[key] = plain(inner)
    return out


def _ingredient(line: Ingredient) -> Any:
    if line.id is None and line.group is None:
        return line.text
    amount = line.text
    if line.item in amount:
        amount = amount[: amount.index(line.item)].strip()
    out: dict[str, Any] = {"item": line.item, "amount": amount}
    for key in ("prep", "id", "group"):
        if getattr(line, key):
            out[key] = getattr(line, key)
    return out


def _never(brief: Brief) -> list[dict[str, str]]:
    return [dict(line) for line in brief.never]


def as_file(brief: Brief, record: dict[str, Any] | None = None) -> dict[str, Any]:
    """The whole file: the brief, then what was cooked and tasted."""
    out = brief_as_file(brief)
    if "never" in out:
        out["never"] = _never(brief)
    if record:
        out["record"] = record
    return out


def to_yaml(value: dict[str, Any]) -> str:
    """YAML 1.2 text: blocks where long, brackets where short, quotes where a word could be read as something else."""
    import yaml

    from proofpan.study.yaml_source import core_scalar

    class Dumper(yaml.SafeDumper):
        def ignore_aliases(self, data: Any) -> bool:
            return True

    def text(dumper: Any, data: str) -> Any:
        style = None if isinstance(core_scalar(data), str) else '"'
        return dumper.represent_scalar("tag:yaml.org,2002:str", data, style=style)

    def mapping(dumper: Any, data: dict[str, Any]) -> Any:
        return dumper.represent_mapping("tag:yaml.org,2002:map", data.items(), flow_style=_short(data))

    def sequence(dumper: Any, data: list[Any]) -> Any:
        return dumper.represent_sequence("tag:yaml.org,2002:seq", data, flow_style=_short(data))

    Dumper.add_representer(str, text)
    Dumper.add_representer(dict, mapping)
    Dumper.add_representer(list, sequence)
    return yaml.dump(value, Dumper=Dumper, allow_unicode=True, sort_keys=False, width=10_000)


def _short(data: Any) -> bool:
    """Whether a group fits on a line."""
    return len(repr(data)) <= FLOW_WIDTH and "\n" not in repr(data)


__all__ = ["as_file", "brief_as_file", "plain", "plain_number", "to_yaml"]
