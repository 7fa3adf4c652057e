"""The catalogue of fixed texts, made from the code: `make messages` (python -m tests.publish.catalogue) writes it anew.

Read from the code by its syntax, since a tokenizer wouldn't see calls inside f-strings: `say("…")`, `say_counted(n, "…", "…")`,
`counted(n, "thing")`; from the papers' templates `tr("…")`; and what is looked up by a name, from the tables it stands in.
"""

import ast
import re
from importlib.resources import files
from io import BytesIO
from pathlib import Path

from babel.messages.catalog import Catalog
from babel.messages.pofile import write_po

from proofpan.publish.phrases import IN_ENGLISH
from proofpan.publish.presenter import SEALED
from proofpan.publish.report_tables import ANSWERS_HEADS, FIGURES_HEADS, PAIR_HEADS
from proofpan.publish.tester import OVENS
from proofpan.publish.typesetting import template_texts
from proofpan.science.foods import cautions as safety
from proofpan.steps.attribute_weights import TIMES
from proofpan.steps.cautions import _CATEGORIES, DEFER, OF_THE_PANTRY
from proofpan.steps.day_shopping import AISLES
from proofpan.steps.kitchens import NOT_BLIND
from proofpan.steps.recipe import SAME_TIMES
from proofpan.steps.recipe_lines import STATUSES
from proofpan.steps.recipe_spoons import PACKING
from proofpan.steps.sittings import HOW
from proofpan.study.verdict import NO_WORDS, NOT_SETTLED, YES_WORDS

FOLDER = Path(str(files("proofpan")))
CATALOGUE = FOLDER / "locale" / "proofpan.pot"
Key = str | tuple[str, str]


def by_name() -> dict[str, str]:
    """{text: where it stands} of what the code looks up in a table and says."""
    from dataclasses import fields

    from proofpan.science.foods import allergen_list, pantry
    from proofpan.science.foods.nutrition import Nutrients
    from proofpan.study.reader_recipe import _LABEL

    blank = Nutrients(*[0.0] * len(fields(Nutrients)))
    nutrients = {*blank.label_eu(), *blank.label_us(), *_LABEL.values()} - {*_LABEL}
    tables = [
        ("publish/tester.py", OVENS), ("publish/presenter.py", [SEALED]), ("steps/cautions.py", [DEFER]), ("steps/recipe_lines.py", STATUSES),
        ("steps/cautions.py", [f"{safety()[c].split('; follow')[0].rstrip('.')}." for c in OF_THE_PANTRY]),
        ("steps/cautions.py", [c.split(",")[0] for c in _CATEGORIES.values()]),
        ("study/verdict.py", [*YES_WORDS, *NO_WORDS, NOT_SETTLED]), ("steps/recipe.py", [SAME_TIMES, PACKING]),
        ("steps/sittings.py", [w for pair in HOW.values() for w in pair]), ("science/foods/allergens.py", [*allergen_list("EU"), *allergen_list("US")]),
        ("science/foods/nutrition.py", nutrients),
        ("science/foods", {f.category for f in pantry().values() if f.category}),
        ("steps/day_lists.py", ["edge", "middle", "whole", "other", "All"]),
        ("steps/day_shopping.py", AISLES),
        ("steps/attribute_weights.py", TIMES.values()), ("steps/kitchens.py", [NOT_BLIND]), ("publish/phrases.py", IN_ENGLISH.values()),
        ("publish/report_tables.py", [*ANSWERS_HEADS, *PAIR_HEADS, *FIGURES_HEADS]),
    ]
    return {text: where for where, texts in tables for text in texts}


def _constant(node: ast.expr | None) -> str | None:
    return node.value if isinstance(node, ast.Constant) and isinstance(node.value, str) else None


def _marked(node: ast.AST) -> Key | None:
    """The text that a call says, as a pair where it is counted."""
    if not isinstance(node, ast.Call):
        return None
    name = node.func.id if isinstance(node.func, ast.Name) else node.func.attr if isinstance(node.func, ast.Attribute) else ""
    texts = [_constant(a) for a in node.args]
    if name == "say" and texts:
        return texts[0]
    if name in ("say_counted", "counted") and len(texts) > 1 and texts[1]:
        many = texts[2] if len(texts) > 2 else None
        if name == "counted" and "{" not in texts[1]:
            return f"{{number}} {texts[1]}", f"{{number}} {many or texts[1] + 's'}"
        return (texts[1], many) if many else None
    return None


def messages() -> dict[Key, list[str]]:
    """{text, or the pair of a counted one: the files where it stands}."""
    out: dict[Key, list[str]] = {}

    def put(key: Key, where: str) -> None:
        if where not in out.setdefault(key, []):
            out[key].append(where)

    for package in ("study", "steps", "publish"):
        for file in sorted((FOLDER / package).glob("*.py")):
            for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
                if (key := _marked(node)) is not None:
                    put(key, f"{package}/{file.name}")
    for file in sorted((FOLDER / "publish" / "templates").glob("*.typ")):
        for text in template_texts(file.stem):
            put(text, f"publish/templates/{file.name}")
    for text, where in by_name().items():
        put(text, where)
    single = {k for k in out if isinstance(k, str)}
    return {k: v for k, v in out.items() if isinstance(k, str) or k[0] not in single}


SPEAKS = {"say", "say_counted", "counted", "StudyError", "DayError", "ValueError", "quoted", "compile", "search", "sub", "match", "fullmatch", "findall"}


def unmarked(file: Path) -> list[str]:
    """Sentences of a module (three words or more, no markup) that reach a reader without being said in a language."""
    tree = ast.parse(file.read_text(encoding="utf-8"))
    above = {child: node for node in ast.walk(tree) for child in ast.iter_child_nodes(node)}

    def spared(node: ast.AST) -> bool:
        while node in above:
            node, inner = above[node], node
            if isinstance(node, ast.Call):
                called = node.func.id if isinstance(node.func, ast.Name) else getattr(node.func, "attr", "")
                if called in SPEAKS and inner is not node.func:
                    return True
            if isinstance(node, ast.Compare) or (isinstance(node, ast.Dict) and inner in node.keys):
                return True
            if isinstance(node, ast.Raise | ast.Expr) and not isinstance(getattr(node, "value", None), ast.Call):
                return True
        return False

    def sentence(node: ast.AST) -> str:
        parts = node.values if isinstance(node, ast.JoinedStr) else [node]
        return "{}".join(p.value for p in parts if isinstance(p, ast.Constant) and isinstance(p.value, str))

    def inside_a_function(node: ast.AST) -> bool:
        while node in above:
            node = above[node]
            if isinstance(node, ast.FunctionDef):
                return True
        return False

    found = []
    for node in ast.walk(tree):
        if not isinstance(node, ast.JoinedStr | ast.Constant) or isinstance(above.get(node), ast.JoinedStr) or not inside_a_function(node):
            continue
        text = sentence(node)
        words = re.findall(r"[A-Za-z’']{2,}", text)
        if len(words) > 2 and text != "proofpan cross-test" and " " in text and not re.search(r"[<>]|=\"|\(\?|\\\\b", text) and not spared(node):
            found.append(f"{getattr(node, 'lineno', 0)}: {text}")
    return found


def catalogue() -> str:
    """The catalogue as text, in order, without a date, so that the same code gives the same bytes."""
    made = Catalog(project="proofpan", header_comment="# Every fixed text of proofpan's documents; docs/translate.md says how to translate them.")
    for key, where in sorted(messages().items(), key=str):
        made.add(key, locations=[(name, 0) for name in sorted(where)])
    out = BytesIO()
    write_po(out, made, width=0, omit_header=True, include_lineno=False, sort_output=True)
    return out.getvalue().decode()


if __name__ == "__main__":
    CATALOGUE.write_text(catalogue(), encoding="utf-8")
