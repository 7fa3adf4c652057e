"""Imports run down only, as the house is drawn in docs/method.md and the README's last section."""

import ast
from pathlib import Path

import pytest

SRC = Path(__file__).parent.parent / "src" / "proofpan"
ALLOWED = {
    "science": set(),
    "study": {"science"},
    "steps": {"study", "science"},
    "publish": {"study", "science"},
    "notebook": {"study", "science"},
    "web": {"notebook", "publish", "steps", "study", "science"},
    "cli": {"web", "notebook", "publish", "steps", "study", "science"},
}
SCIENCE_MAY_READ = {("heat", "foods"), ("measures", "foods")}


def arrows(path: Path):
    """Every proofpan module that a file imports, as dotted names below proofpan, with the line."""
    here = path.relative_to(SRC).with_suffix("").parts
    package = here[:-1]
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            for alias in node.names:
                if alias.name.split(".")[0] == "proofpan":
                    yield alias.name.split(".")[1:], node.lineno
        elif isinstance(node, ast.ImportFrom):
            if node.level:
                base = list(package[: len(package) - node.level + 1])
                yield base + (node.module.split(".") if node.module else []), node.lineno
            elif (node.module or "").split(".")[0] == "proofpan":
                rest = (node.module or "").split(".")[1:]
                for alias in node.names:
                    yield (rest or [alias.name]) if rest else [alias.name], node.lineno


FILES = sorted(p for p in SRC.rglob("*.py") if len(p.relative_to(SRC).parts) > 1)


@pytest.mark.parametrize("path", FILES, ids=lambda p: str(p.relative_to(SRC)))
def test_imports_run_down_only(path):
    floor, *inside = path.relative_to(SRC).with_suffix("").parts
    for target, line in arrows(path):
        if not target or target[0] not in ALLOWED:
            continue
        if target[0] != floor:
            assert target[0] in ALLOWED[floor], f"{path.name}:{line}: {floor} imports {'.'.join(target)}"
        elif floor == "science" and _other_room(target, inside):
            assert (inside[0], target[1]) in SCIENCE_MAY_READ, f"{path.name}:{line}: {inside[0]} imports {target[1]}"


def _other_room(target, inside):
    return len(target) > 1 and inside[0] not in ("__init__", target[1]) and (SRC / "science" / target[1]).is_dir()


def test_the_walk_sees_arrows():
    """A guard on the guard: the files above do import something of ours."""
    assert sum(1 for p in FILES for _ in arrows(p)) > 0
