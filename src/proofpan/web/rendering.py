"""Templates: strict about names, escaping everything; a page's style and script bear its own name."""

from __future__ import annotations

import secrets
from functools import cache
from pathlib import Path
from typing import Any

from jinja2 import Environment, FileSystemLoader, StrictUndefined
from markupsafe import Markup
from starlette.responses import HTMLResponse

from proofpan.study.words import unbroken
from proofpan.web.frame import Frame

HERE = Path(__file__).parent
ROUND_UP = 16_384


@cache
def environment() -> Environment:
    """The templates."""
    out = Environment(loader=FileSystemLoader(HERE), autoescape=True, undefined=StrictUndefined, trim_blocks=True, lstrip_blocks=True,
                      auto_reload=False)
    out.filters["unbroken"] = unbroken
    return out


@cache
def has(page: str, kind: str) -> bool:
    """Whether a page brings a style or a script of its own."""
    return (HERE / "pages" / page / f"page.{kind}").is_file()


def words_of(page: str, model: Any, frame: Frame, template: str = "page.html") -> str:
    """A page as text."""
    name = f"pages/{page}/{template}"
    return (
        environment()
        .get_template(name)
        .render(page=model, frame=frame, name=page, csrf=_hidden(frame), has_css=has(page, "css"), has_js=has(page, "js"))
    )


def _hidden(frame: Frame) -> Markup:
    """What every form carries: the session's token, the revision it was made upon, and a key so that sending twice is sending once."""
    fields = {"csrf": frame.csrf, "base": frame.revision, "once": secrets.token_hex(12)}
    return Markup("").join(Markup('<input type="hidden" name="{}" value="{}">').format(n, v) for n, v in fields.items())


def show(page: str, model: Any, frame: Frame, status: int = 200, template: str = "page.html") -> HTMLResponse:
    """A page as an answer."""
    return HTMLResponse(words_of(page, model, frame, template), status)


def same_length(text: str) -> bytes:
    """A ballot's bytes, filled up with spaces so that its length tells nothing."""
    body = text.encode()
    return body + b" " * (-len(body) % ROUND_UP)
