"""Where the invented examples stand: in the wheel, or beside the source."""

from __future__ import annotations

import importlib.util
from pathlib import Path
from types import ModuleType

import proofpan


def examples_folder() -> Path:
    """The folder of examples."""
    package = Path(proofpan.__file__).parent
    inside = package / "examples"
    return inside if inside.is_dir() else package.parents[1] / "examples"


def invented(name: str) -> ModuleType:
    """An example's script that states the invented truth."""
    path = examples_folder() / name / "invent.py"
    spec = importlib.util.spec_from_file_location(f"proofpan_example_{name}", path)
    if spec is None or spec.loader is None:
        raise FileNotFoundError(path)
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module
