"""A page's model and its template say the same: every field is shown, nothing else is read."""

from dataclasses import fields
from importlib import import_module

import jinja2.nodes as nodes
import pytest

from proofpan.web.rendering import HERE, environment

MODELS = {
    "plain": "PlainPage",
    "first": "FirstPage",
    "brief": "BriefPage",
    "sources": "SourcesPage",
    "rounds": "RoundsPage",
    "day": "DayPage",
    "cook": "CookPage",
    "tasting": "TastingPage",
    "ballot": "BallotPage",
    "paper": "PaperPage",
    "codes": "CodesPage",
    "alone": "AlonePage",
    "triangles": "TrianglesPage",
    "readings": "ReadingsPage",
    "reading": "ReadingPage",
    "heat": "HeatPage",
    "oven": "OvenPage",
    "verdict": "VerdictPage",
    "recipe": "RecipePage",
    "cross_tests": "CrossTestsPage",
    "tester": "PackPage",
    "how_we_tested": "TestedPage",
    "editions": "EditionsPage",
    "edition": "EditionPage",
    "present": "PresentPage",
    "notebook": "NotebookPage",
    "designs": "DesignsPage",
    "backups": "BackupsPage",
    "work": "WorkPage",
}
PARTS = [("brief", "plan.html", "PlanPart"), ("tasting", "board.html", "BoardPart"), ("work", "part.html", "WorkPart")]


def read_by(template: str) -> set[str]:
    """The fields of `page` that a template reads."""
    tree = environment().parse((HERE / template).read_text(encoding="utf-8"))
    return {n.attr for n in tree.find_all(nodes.Getattr) if isinstance(n.node, nodes.Name) and n.node.name == "page"}


def held_by(page: str, model: str) -> set[str]:
    return {f.name for f in fields(getattr(import_module(f"proofpan.web.pages.{page}.page"), model))}


@pytest.mark.parametrize("page", MODELS)
def test_a_pages_fields_are_what_its_template_reads(page):
    read = read_by(f"pages/{page}/page.html")
    held = held_by(page, MODELS[page])
    also = {"board": {"unfinished", "sealed"}}.get(page, set())
    assert read - also <= held, f"not in the model: {read - held}"
    assert held <= read, f"not shown: {held - read}"


@pytest.mark.parametrize("page, template, model", PARTS)
def test_a_parts_fields_are_what_its_template_reads(page, template, model):
    read, held = read_by(f"pages/{page}/{template}"), held_by(page, model)
    assert read <= held
    assert held - read <= {"headline", "under", "unfinished"}  # the whole page's template reads these


def test_every_page_of_the_app_is_checked_here():
    from proofpan.web.app import PAGES

    assert set(PAGES) - {"begin", "papers"} == set(MODELS) - {"plain"}
