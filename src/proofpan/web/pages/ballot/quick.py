"""A short way for marks from phones' queues: when three hundred press send together, looking through all pages for theirs costs more than keeping them.

It takes a small body of JSON and nothing else; everything else goes the ordinary way, and what comes back is the same to the byte.
"""

from __future__ import annotations

from typing import Any

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.types import ASGIApp, Receive, Scope, Send

from proofpan.notebook import NotebookError
from proofpan.study.errors import BallotError
from proofpan.web.access import address_of
from proofpan.web.desk import Kitchen
from proofpan.web.headers import ALWAYS, refused
from proofpan.web.pages.ballot.route import Unknown, answer_bytes, events_of, keep_events, read_queue, remembered, sat, why_not

BEFORE, AFTER = "/t/", "/marks"
LARGEST = 20_000
HEADERS = [(b"content-type", b"application/json"), (b"cache-control", b"no-store"), *((n.encode(), v.encode()) for n, v in ALWAYS.items())]


class QuickMarks:
    """Stands before the pages and takes phones' marks; passes everything else on."""

    def __init__(self, app: ASGIApp, kitchen: Kitchen) -> None:
        self.app, self.kitchen = app, kitchen

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Take marks, or pass a request on."""
        token = _token(scope)
        if token is None:
            await self.app(scope, receive, send)
            return
        body = await _body(receive)
        if body is None:
            return  # hung up before all of it came
        status, said = await self._take(Request(scope), token, read_queue(body))
        headers = [(b"content-length", str(len(said)).encode()), *HEADERS]
        await send({"type": "http.response.start", "status": status, "headers": headers})
        await send({"type": "http.response.body", "body": said})

    async def _take(self, request: Request, token: str, form: dict[str, Any]) -> tuple[int, bytes]:
        try:
            seat = remembered(self.kitchen, token, address_of(request)) or (await run_in_threadpool(sat, request, token))[1]
            events, gone = await events_of(self.kitchen, seat, form, token)
            result = await keep_events(self.kitchen, seat, events, token)
        except Unknown:
            return 404, answer_bytes("unknown")
        except BallotError as error:
            return 422, answer_bytes("wrong", error.what)
        except NotebookError as error:
            status, word, _ = why_not(error)
            return status, answer_bytes(word)
        return 200 if result != "closed" else 410, answer_bytes(result, gone)


def _token(scope: Scope) -> str | None:
    """The words in the address of marks that a phone's queue sends; none for any other request."""
    if scope["type"] != "http" or scope["method"] != "POST":
        return None
    path: str = scope["path"]
    if not (path.startswith(BEFORE) and path.endswith(AFTER)):
        return None
    headers = dict(scope["headers"])
    long = headers.get(b"content-length", b"")
    if not headers.get(b"content-type", b"").startswith(b"application/json") or not long.isdigit() or int(long) > LARGEST or refused(scope):
        return None
    return path[len(BEFORE) : -len(AFTER)]


async def _body(receive: Receive) -> bytes | None:
    whole = b""
    while True:
        message = await receive()
        if message["type"] == "http.disconnect":
            return None
        whole += message.get("body", b"")
        if not message.get("more_body", False):
            return whole
