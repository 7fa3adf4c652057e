"""Who may see what: the lead's secret link and session, the token in every form, and limits on guesses.

The session is a signed cookie, so any worker that shares the secret can read it and nothing is stored. A taster is known by the words
in the address alone; the notebook keeps only their digest.
"""

from __future__ import annotations

import hashlib
import hmac
import secrets
import threading
from collections import deque
from collections.abc import Callable

from starlette.requests import Request

COOKIE = "kitchen"
SECONDS = 60.0


def new_secret() -> str:
    """A secret for one start of the server."""
    return secrets.token_urlsafe(24)


def _sign(secret: str, *parts: str) -> str:
    return hmac.new(secret.encode(), "\x00".join(parts).encode(), hashlib.sha256).hexdigest()[:40]


def link_word(secret: str) -> str:
    """What stands in the lead's link: made from the secret, so that the link can't forge anything else."""
    return _sign(secret, "link")[:32]


def new_session(secret: str) -> str:
    """A cookie's value."""
    name = secrets.token_hex(16)
    return f"{name}.{_sign(secret, 'session', name)}"


def session_of(secret: str, cookie: str | None) -> str | None:
    """The session's name, if the cookie is ours."""
    name, _, mark = (cookie or "").partition(".")
    good = bool(name) and hmac.compare_digest(mark.encode(), _sign(secret, "session", name).encode())
    return name if good else None


def form_token(secret: str, session: str) -> str:
    """What every form of a session carries."""
    return _sign(secret, "form", session)


def same(given: str, wanted: str) -> bool:
    """Whether two texts are equal, in a time that tells nothing."""
    return hmac.compare_digest(given.encode("utf-8", "replace"), wanted.encode())


def address_of(request: Request) -> str:
    """Where a request comes from, for counting."""
    return request.client.host if request.client else "unknown"


class Allowance:
    """At most so many of a thing a minute for each name, and so many for all names together."""

    def __init__(self, each: int, together: int, clock: Callable[[], float]) -> None:
        self._each, self._together, self._clock = each, together, clock
        self._times: dict[str, deque[float]] = {}
        self._all: deque[float] = deque()
        self._lock = threading.Lock()

    def spent(self, name: str) -> bool:
        """Whether this name has used up its minute."""
        with self._lock:
            mine = self._times.get(name, deque())
            return self._fresh(mine) >= self._each or self._fresh(self._all) >= self._together

    def count(self, name: str) -> None:
        """Count one."""
        with self._lock:
            now = self._clock()
            if len(self._times) > 5000:
                self._times = {n: t for n, t in self._times.items() if self._fresh(t)}
            self._times.setdefault(name, deque()).append(now)
            self._all.append(now)

    def _fresh(self, times: deque[float]) -> int:
        oldest = self._clock() - SECONDS
        while times and times[0] <= oldest:
            times.popleft()
        return len(times)
