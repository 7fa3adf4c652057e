"""Amendments: a late idea added, an option dropped, the base corrected. What was cooked stands."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from proofpan.study.brief import Amendment, Brief
from proofpan.study.edits import EditFault, apply, check_shape
from proofpan.study.errors import StudyError, did_you_mean, quoted
from proofpan.study.loading import load_brief
from proofpan.study.source import Source
from proofpan.study.words import version_words
from proofpan.study.writing import as_file, plain

ADDABLE = ("factor", "option", "taster", "attribute", "claim", "never")
DROPPABLE = ("factor", "option", "taster", "claim")


def amended(
    brief: Brief,
    add: Mapping[str, Any] | None,
    drop: Mapping[str, Any] | None,
    base: Sequence[Any] | None,
    why: str,
    on: date | None,
    after_round: int,
    folder: Path | None,
) -> Brief:
    """The brief after one amendment, with a note of what changed, why and when.

    Raises: StudyError when nothing is changed or a part doesn't fit.
    """
    if not (add or drop or base):
        raise StudyError("Nothing is changed: say what to add, to drop, or which edits the base recipe gets.")
    value = as_file(brief)
    said: list[str] = []
    draft: int | None = None
    for kind, what in (add or {}).items():
        said.append(_add(value, kind, what, on))
    for kind, what in (drop or {}).items():
        said.append(_drop(value, brief, kind, what, on))
    if base:
        said.append(_correct(value, brief, base))
        draft = brief.draft + 1
    note = Amendment(on=on, what="; ".join(said), why=why or "", draft=draft, after_round=after_round)
    value["amendments"] = [*value.get("amendments", ()), plain(note)]
    return load_brief(Source(value), folder=folder)


def _add(value: dict[str, Any], kind: str, what: Any, on: date | None) -> str:
    stamp = {"added": on.isoformat()} if on is not None else {}
    if kind == "factor" and isinstance(what, Mapping):
        value["factors"] = [*value["factors"], {**what, **stamp}]
        return f"added {what.get('name')}"
    if kind == "option" and isinstance(what, Mapping):
        option = {k: v for k, v in what.items() if k != "factor"}
        _into(value, str(what.get("factor", "")), {**option, **stamp})
        return f"added {what.get('name')} to {what.get('factor')}"
    if kind == "taster":
        value["tasters"] = [*_tasters(value), dict(what) if isinstance(what, Mapping) else what]
        return f"added taster {what.get('name') if isinstance(what, Mapping) else what}"
    if kind in ("attribute", "claim", "never") and isinstance(what, Mapping):
        key = {"attribute": "attributes", "claim": "claims", "never": "never"}[kind]
        value[key] = [*value.get(key, ()), dict(what)]
        return f"added a {kind}" if kind != "never" else ruled_out(what)
    if kind not in ADDABLE:
        raise StudyError(f"{quoted(kind)} can't be added. {did_you_mean(kind, ADDABLE)}")
    raise StudyError(f"What is added as {quoted(kind)} must be a group of keys, such as {{name: …}}.")


def ruled_out(version: Mapping[str, str]) -> str:
    """What an amendment says of a version that shan't be made."""
    return f"ruled out {version_words(version)}"


def _tasters(value: dict[str, Any]) -> list[Any]:
    given = value.get("tasters", ["Taster 1"])
    return list(given)


def _into(value: dict[str, Any], factor: str, option: dict[str, Any]) -> None:
    names = [f["name"] for f in value["factors"]]
    if factor not in names:
        raise StudyError(f"{quoted(factor)} isn't a factor to add an option to. {did_you_mean(factor, names)}")
    value["factors"] = [
        {**f, "options": [*f["options"], option]} if f["name"] == factor else f for f in value["factors"]
    ]


def _drop(value: dict[str, Any], brief: Brief, kind: str, what: Any, on: date | None) -> str:
    stamp = (on or brief.today or date(1970, 1, 1)).isoformat()
    if kind == "taster":
        names = [t.name for t in brief.tasters]
        if what not in names:
            raise StudyError(f"{quoted(what)} isn't a taster of this study. {did_you_mean(str(what), names)}")
        value["tasters"] = [
            {**({"name": t} if isinstance(t, str) else t), "left": stamp}
            if (t if isinstance(t, str) else t["name"]) == what else t for t in _tasters(value)
        ]
        return f"{what} no longer tastes"
    if kind == "factor":
        factor = brief.factor(str(what))
        if factor is None or factor.dropped is not None:
            kept = [f.name for f in brief.factors if f.dropped is None]
            raise StudyError(f"{quoted(what)} isn't a factor to drop. {did_you_mean(str(what), kept)}")
        if sum(f.dropped is None for f in brief.factors) == 1:
            raise StudyError(f"{quoted(what)} is the only thing that varies: a study needs one.")
        hanging = [f.name for f in brief.factors if f.dropped is None and any(o == what for o, _ in f.when)]
        if hanging:
            raise StudyError(f"{quoted(hanging[0])} hangs on {quoted(what)}: drop that first.")
        value["factors"] = [{**f, "dropped": stamp} if f["name"] == what else f for f in value["factors"]]
        return f"dropped {what}"
    if kind == "option" and isinstance(what, Mapping):
        return _drop_option(value, brief, str(what.get("factor", "")), str(what.get("name", "")), stamp)
    if kind == "claim":
        value["claims"] = [c for c in value.get("claims", ()) if c.get("words") != what]
        return "dropped a claim"
    raise StudyError(f"{quoted(kind)} can't be dropped. {did_you_mean(kind, DROPPABLE)}")


def _drop_option(value: dict[str, Any], brief: Brief, factor_name: str, name: str, stamp: str) -> str:
    factor = brief.factor(factor_name)
    if factor is None:
        names = [f.name for f in brief.factors]
        raise StudyError(f"{quoted(factor_name)} isn't a factor. {did_you_mean(factor_name, names)}")
    kept = [o.name for o in factor.kept]
    if name not in kept:
        raise StudyError(f"{quoted(name)} isn't an option of {factor_name} to drop. {did_you_mean(name, kept)}")
    if len(kept) == 1:
        raise StudyError(f"{quoted(name)} is the last option of {factor_name}: drop the factor instead.")
    for f in value["factors"]:
        if f["name"] == factor_name:
            f["options"] = [{**o, "dropped": stamp} if o["name"] == name else o for o in f["options"]]
    return f"dropped {name} from {factor_name}"


def _correct(value: dict[str, Any], brief: Brief, base: Sequence[Any]) -> str:
    if brief.base is None:
        raise StudyError("There is no base recipe to correct: add one first.")
    from pydantic import TypeAdapter

    from proofpan.study.edits import Edit

    adapter: TypeAdapter[Any] = TypeAdapter(Edit)
    recipe = brief.base
    for given in base:
        try:
            edit = adapter.validate_python(check_shape(given), context={"country": brief.kitchen.country})
            recipe = apply(recipe, [edit], country=brief.kitchen.country)
        except EditFault as fault:
            raise StudyError(fault.says) from None
        except ValidationError as error:
            first = error.errors()[0]
            raise StudyError(str(first.get("ctx", {}).get("says") or first["msg"])) from None
        except Exception as error:  # noqa: BLE001 - a PydanticCustomError outside a model is a sentence already
            if type(error).__name__ != "PydanticCustomError":
                raise
            raise StudyError(str(error)) from None
    value["drafts"] = [*value.get("drafts", ()), plain(brief.base)]
    value["base"] = plain(recipe)
    return f"corrected the base: draft {brief.draft + 1}"
