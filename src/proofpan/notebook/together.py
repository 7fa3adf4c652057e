"""Adds what many threads bring in one transaction, so that a table of phones waits for the disk once, not in a row.

Whoever comes first adds all that is waiting; those who came meanwhile find theirs done. Each still hears of their own
events only after the transaction that holds them is on disk, and a fault of one touches nobody else.
"""

import threading
from collections import deque
from concurrent.futures import Future, ThreadPoolExecutor
from dataclasses import dataclass, field
from itertools import groupby
from typing import Any

from . import events, studies
from .connection import Store
from .entries import Event
from .errors import Busy, NotebookError

AT_MOST = 100


@dataclass(eq=False)
class Request:
    """What one thread wants to add, and then what came of it."""

    study_id: str
    rows: list[dict[str, Any]]
    while_open: int | None
    token: str | None = None
    added: tuple[Event, ...] = ()
    fault: NotebookError | None = None
    done: bool = field(default=False)
    told: Future[tuple[Event, ...]] | None = None

    def tell(self) -> None:
        """Say to whoever waits what came of it."""
        self.done = True
        if self.told is None or self.told.done():
            return
        if self.fault is not None:
            self.told.set_exception(self.fault)
        else:
            self.told.set_result(self.added)


class Together:
    """The queue of one notebook."""

    def __init__(self, store: Store):
        self._store = store
        self._waiting: deque[Request] = deque()
        self._turn = threading.Lock()
        self._writer: ThreadPoolExecutor | None = None

    def add(self, request: Request) -> tuple[Event, ...]:
        """Add a request's events, with those of others that are waiting.

        Raises:
            NotebookError: as `events.append`; nothing of this request was written.
        """
        self._waiting.append(request)
        while not request.done:
            self._next(request)
        if request.fault is not None:
            raise request.fault
        return request.added

    def soon(self, request: Request) -> Future[tuple[Event, ...]]:
        """As `add`, without waiting: the answer comes when the events are on disk."""
        told: Future[tuple[Event, ...]] = Future()
        request.told = told
        told.set_running_or_notify_cancel()  # who stops waiting doesn't take back what is being written
        self._waiting.append(request)
        if self._writer is None:
            with self._turn:
                self._writer = self._writer or ThreadPoolExecutor(1, "notebook")
        self._writer.submit(self._next, request)
        return told

    def close(self) -> None:
        """Let everything that waits be written, and stop."""
        if self._writer is not None:
            self._writer.shutdown()

    def _next(self, request: Request) -> None:
        """Add what is waiting, unless somebody else has meanwhile added this one."""
        with self._turn:
            if not request.done:
                self._add_all([self._waiting.popleft() for _ in range(min(AT_MOST, len(self._waiting)))])

    def _add_all(self, batch: list[Request]) -> None:
        try:
            self._in_one_transaction(batch)
        except Busy as fault:
            for request in batch:
                request.fault = Busy(str(fault))
        except NotebookError as fault:
            if len(batch) == 1:
                batch[0].fault = fault
            else:  # what the database itself refused may be the fault of one: ask again for each alone
                for request in batch:
                    self._add_all([request])
        finally:
            # also when the database failed in a way that nobody foresaw: nobody may wait for ever
            for request in batch:
                if not request.done and not request.added and request.fault is None and request.rows:
                    request.fault = NotebookError("The entry wasn't written, because another one failed; send it again.")
                request.tell()

    def _in_one_transaction(self, batch: list[Request]) -> None:
        results: dict[Request, tuple[Event, ...] | NotebookError] = {}
        with self._store.writing() as connection:
            # by study, so that two programs on a server never wait for each other crosswise
            for study_id, group in groupby(sorted(batch, key=lambda r: r.study_id), key=lambda r: r.study_id):
                own = list(group)
                try:
                    studies.hold(connection, study_id)
                except NotebookError as fault:
                    results |= {request: type(fault)(str(fault)) for request in own}
                else:
                    asked = [events.Asked(r.rows, r.while_open, r.token) for r in own]
                    results |= dict(zip(own, events.append_all(connection, study_id, asked), strict=True))
        for request, result in results.items():  # only now is it on disk
            if isinstance(result, NotebookError):
                request.fault = result
            else:
                request.added = result

