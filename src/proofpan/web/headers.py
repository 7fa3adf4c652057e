"""What every answer carries, under which names the pages answer, and how large a request may be. Plain ASGI, so that nothing is buffered twice."""

from __future__ import annotations

import ipaddress
import os
from functools import lru_cache
from urllib.parse import urlsplit

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
    "permissions-policy": "camera=(), microphone=(), geolocation=()",
}
NAMES = "PROOFPAN_NAMES"
# endings under which nobody can own a name on the internet: RFC 6761, RFC 6762, RFC 8375, and those set aside for networks at home
AT_HOME = (".localhost", ".test", ".local", ".home.arpa", ".internal", ".lan", ".home", ".intranet", ".private")
NOT_OUR_NAME = f"These pages don't answer under this name. Use the address that was printed where proofpan was started, or give the name in {NAMES} there."
NOT_OUR_PAGE = "This came from a page of another site, so nothing was taken."


@lru_cache(500)
def is_ours(host: str) -> bool:
    """Whether the pages answer under a name. Another site's page can point a name of its own here, and would then read what it was answered.

    Parameters: host, as a request names it, with or without a port; empty where it names none, which no browser does.
    """
    try:
        name = (urlsplit(f"//{host}").hostname or "").rstrip(".")
    except ValueError:
        return False
    if not name or "." not in name or name.endswith(AT_HOME) or name in os.environ.get(NAMES, "").lower().replace(",", " ").split():
        return True
    try:
        ipaddress.ip_address(name)
    except ValueError:
        return False
    return True


def refused(scope: Scope) -> tuple[int, str] | None:
    """Why a request is nobody's here, as status and sentence: by the name it asks for, or sent by another site's page; none for any other."""
    named = {n: v for n, v in scope["headers"] if n in (b"host", b"origin")}
    host = named.get(b"host", b"").decode("latin-1").lower()
    if not is_ours(host):
        return 421, NOT_OUR_NAME
    origin = named.get(b"origin", b"").decode("latin-1").lower()
    # a ballot's form says "null", as its page sends no referrer; its words in the address are what lets it in
    if scope["method"] not in ("GET", "HEAD") and origin not in ("", "null") and origin.partition("://")[2] != host:
        return 403, NOT_OUR_PAGE
    return None


def largest(path: str) -> int:
    """How large a request to an address may be, in bytes."""
    if path == "/backups/restore":
        return LARGEST_BACKUP
    if path.startswith("/study/") and path.endswith(("/reading", "/oven")):
        return LARGEST_FILES
    if path.endswith(("/photograph", "/import", "/answers", "/notes")) or path.startswith("/x/"):
        return LARGEST_FILE
    return LARGEST_FORM


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
        most = largest(scope["path"])
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

        if not_ours := refused(scope):
            await PlainTextResponse(not_ours[1], not_ours[0])(scope, receive, marked)
            return
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
