"""A kitchen with an empty notebook, a lead who came by the link, and tasters who didn't."""

import atexit
import re
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from functools import cache
from html import unescape
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from anyio.from_thread import BlockingPortal, start_blocking_portal
from starlette.testclient import TestClient

from proofpan.notebook import Notebook
from proofpan.study.wording import spoken
from proofpan.web.access import link_word
from proofpan.web.app import create_app

SECRET = "a secret for tests"
CRACKERS = Path(__file__).parents[2] / "examples" / "seeded_oat_crackers" / "study.yaml"


class Clock:
    """A clock that stands until it is moved."""

    def __init__(self) -> None:
        self.now = datetime(2026, 11, 25, 12, 0, tzinfo=UTC)

    def __call__(self) -> datetime:
        return self.now

    def move(self, **by: float) -> None:
        self.now += timedelta(**by)


@dataclass
class Page:
    """An answer, read as a person reads it."""

    status: int
    text: str
    url: str

    @property
    def headline(self) -> str:
        found = re.search(r"<h1[^>]*>(.*?)</h1>", self.text, re.S)
        return unescape(re.sub(r"<[^>]+>", "", found.group(1))).strip() if found else ""

    @property
    def wrong(self) -> str:
        found = re.search(r'role="alert">(.*?)</p>', self.text, re.S)
        return unescape(re.sub(r"<[^>]+>", "", found.group(1))).strip() if found else ""

    def all(self, pattern: str) -> list[str]:
        return [unescape(x) for x in re.findall(pattern, self.text)]


@cache
def one_loop() -> BlockingPortal:
    """The event loop in which all requests are answered, as a server does: a loop and two threads for each take longer than the answer."""
    opened = start_blocking_portal()
    atexit.register(opened.__exit__, None, None, None)
    return opened.__enter__()


class Person:
    """Somebody at a browser without script."""

    def __init__(self, app) -> None:
        self.client = TestClient(app)
        self.client.portal = one_loop()
        self.csrf = ""

    def get(self, path: str) -> Page:
        answer = self.client.get(path)
        return Page(answer.status_code, answer.text.replace("\u00a0", " "), str(answer.url.path))

    def post(self, path: str, **fields) -> Page:
        files = fields.pop("files", None)
        answer = self.client.post(path, data={"csrf": self.csrf, **{k.replace("__", " "): v for k, v in fields.items()}}, files=files)
        return Page(answer.status_code, answer.text.replace("\u00a0", " "), str(answer.url.path))


@cache
def blank() -> bytes:
    """An empty notebook's file: copied for each kitchen, since making one takes longer than most tests."""
    with TemporaryDirectory() as folder:
        Notebook.open(Path(folder) / "notebook.sqlite").close()
        return (Path(folder) / "notebook.sqlite").read_bytes()


class Kitchen:
    """The app, its notebook, and its people."""

    def __init__(self, folder: Path, start: bytes | None = None, where: str | None = None, **more) -> None:
        self.clock = Clock()
        if where is None:
            where = str(folder / "notebook.sqlite")
            Path(where).write_bytes(start or blank())
        self.book = Notebook.open(where, clock=self.clock)
        self.app = create_app(self.book, clock=self.clock, secret=SECRET, rinse_seconds=0, **more)

    def lead(self) -> Person:
        person = Person(self.app)
        page = person.get(f"/in/{link_word(SECRET)}")
        person.csrf = page.all(r'name="csrf" value="(\w+)"')[0]
        return person

    def stranger(self) -> Person:
        return Person(self.app)


@pytest.fixture(autouse=True, scope="session")
def plan_once() -> Iterator[None]:
    """The same day isn't searched for twice: its brief, its rounds and what is asked for are all that a plan follows from."""
    from proofpan.steps import day

    found: dict[str, object] = {}
    plan_day = day.plan_day

    def planned_once(study, round, **asked):
        key = repr((spoken().locale, study.brief.model_dump_json(), [r.model_dump_json() for r in study.rounds], round, sorted(asked.items())))
        if key not in found:
            found[key] = plan_day(study, round, **asked)
        return found[key]

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(day, "plan_day", planned_once)
        yield


@pytest.fixture
def kitchen(tmp_path) -> Iterator[Kitchen]:
    made = Kitchen(tmp_path)
    yield made
    made.book.close()


@pytest.fixture
def lead(kitchen) -> Person:
    return kitchen.lead()


def crackers(lead: Person, **kitchen_form) -> str:
    """The invented crackers in the notebook."""
    text = CRACKERS.read_text(encoding="utf-8")
    page = lead.post("/import", files={"file": ("study.yaml", text.encode(), "application/yaml")})
    assert page.status == 200, page.wrong
    return page.url.rsplit("/", 1)[0]


def planned(lead: Person, study: str) -> None:
    """A round, planned; the day's page, to which that leads, is planned in tests of its own."""
    answer = lead.client.post(f"{study}/rounds", data={"csrf": lead.csrf, "what": "plan", "seed": "3"}, follow_redirects=False)
    assert answer.status_code == 303, answer.text


def opened(lead: Person, study: str) -> dict[str, str]:
    """A tasting, opened: {taster: address of their ballot}."""
    page = lead.post(f"{study}/tasting", what="open")
    assert page.status == 200, page.wrong
    names = page.all(r'<p class="says sm">([^<]+)</p>')
    words = page.all(r'class="codeword">([a-z ]+)<')
    return {n: "/t/" + w.replace(" ", "-") for n, w in zip(names, words, strict=True)}


def codes_of(page: Page) -> list[str]:
    return page.all(r'data-codes="([^"]*)"')[0].split()


def marks(value: float = 6, lines: int = 5) -> dict[str, str]:
    return {f"m{i}": str(value) for i in range(lines)}
