"""What every answer carries, and how large a request may be. Plain ASGI, so that nothing is buffered twice."""

from __future__ import annotations

from starlette.datastructures import MutableHeaders
from starlette.responses import PlainTextResponse
from starlette.types import ASGIApp, Message, Receive, Scope, Send

LARGEST_FORM = 2_000_000
LARGEST_FILE = 26_000_000
LARGEST_FILES = 105_000_000  # several photographs or recordings of one trial at once
LARGEST_BACKUP = 8_000_000_000
POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; font-src 'self'; img-src 'self'; connect-src 'self'; form-action 'self'; "
    "base-uri 'none'; frame-ancestors 'none'"
)
ALWAYS = {
    "content-security-policy": POLICY,
    "x-content-type-options": "nosniff",
    "referrer-policy": "same-origin",
    "x-frame-options": "DENY",
    "cross-origin-resource-policy": "same-origin",
}


class TooLarge(Exception):
    """A body grew beyond what its address takes."""


class Guard:
    """Headers on every answer; a body is counted as it comes and refused when too large."""

    def __init__(self, app: ASGIApp) -> None:
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass a request on."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        large = LARGEST_BACKUP if scope["path"] == "/backups/restore" else LARGEST_FORM
        files = scope["path"].endswith(("/photograph", "/import", "/reading", "/answers", "/notes")) or scope["path"].startswith("/x/")
        most = LARGEST_FILE if files else large
        said = dict(scope["headers"]).get(b"content-length", b"0")
        begun = False

        async def marked(message: Message) -> None:
            nonlocal begun
            if message["type"] == "http.response.start":
                begun = True
                headers = MutableHeaders(scope=message)
                for name, value in ALWAYS.items():
                    headers.setdefault(name, value)
                headers.setdefault("cache-control", "no-store")
            await send(message)

        if not said.isdigit() or int(said) > most:
            await PlainTextResponse("That is too large to take.", 413)(scope, receive, marked)
            return
        taken = 0

        async def counted() -> Message:
            nonlocal taken
            message = await receive()
            taken += len(message.get("body", b""))
            if taken > most:
                raise TooLarge
            return message

        try:
            await self.app(scope, counted, marked)
        except TooLarge:
            if not begun:
                await PlainTextResponse("That is too large to take.", 413)(scope, receive, marked)
