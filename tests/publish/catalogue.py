"""The catalogue of fixed texts, made from the code: `python -m tests.publish.catalogue` writes it anew."""

import ast
from importlib.resources import files
from io import BytesIO
from pathlib import Path

from babel.messages.catalog import Catalog
from babel.messages.pofile import write_po

from proofpan.publish.tester import OVENS

FOLDER = Path(str(files("proofpan.publish")))


def messages() -> dict[str, list[str]]:
    """{text: where it stands}."""
    out: dict[str, list[str]] = {}
    for file in sorted(FOLDER.glob("*.py")):
        for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):  # a tokenizer wouldn't see calls inside f-strings
            called = isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id == "say" and node.args
            if called and isinstance(node.args[0], ast.Constant) and file.name not in out.setdefault(node.args[0].value, []):
                out[node.args[0].value].append(file.name)
    for word in OVENS:
        out.setdefault(word, ["tester.py"])
    return out


def catalogue() -> str:
    """The catalogue as text, in order, without a date, so that the same code gives the same bytes."""
    made = Catalog(project="proofpan", header_comment="# Every fixed text of proofpan's documents. Fill in and save as LANGUAGE.po beside this file.")
    for text, where in sorted(messages().items()):
        made.add(text, locations=[(name, 0) for name in sorted(where)])
    out = BytesIO()
    write_po(out, made, width=0, omit_header=True, include_lineno=False, sort_output=True)
    return out.getvalue().decode()


if __name__ == "__main__":
    (FOLDER / "locale" / "proofpan.pot").write_text(catalogue(), encoding="utf-8")
