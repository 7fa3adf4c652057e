"""Adds what many bring in one transaction, so that a table of phones waits for the disk once, not in a row.

Whoever comes first adds all that is waiting; those who came meanwhile find theirs done. Each still hears of their own
events only after the transaction that holds them is on disk, and a fault of one touches nobody else.
"""

import threading
from collections import deque
from collections.abc import Callable
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
    """What one caller wants to add, and then what came of it.

    `told` is called with the fault, or none, by one who doesn't wait; such a one hears that the events are on disk, not under which numbers.
    """

    study_id: str
    rows: list[dict[str, Any]]
    while_open: int | None
    token: str | None = None
    told: Callable[[NotebookError | None], None] | None = None
    added: tuple[Event, ...] = ()
    fault: NotebookError | None = None
    written: bool = False
    done: bool = field(default=False)

    def tell(self) -> None:
        """Say to whoever waits what came of it, once."""
        if not self.done:
            self.done = True
            if self.told is not None:
                self.told(self.fault)


class Together:
    """The queue of one notebook."""

    def __init__(self, store: Store):
        self._store = store
        self._waiting: deque[Request] = deque()
        self._turn = threading.Lock()
        self._bell = threading.Event()
        self._writer: threading.Thread | None = None
        self._closing = False

    def add(self, request: Request) -> tuple[Event, ...]:
        """Add a request's events, with those of others that are waiting.

        Raises:
            NotebookError: as `events.append`; nothing of this request was written.
        """
        self._waiting.append(request)
        while not request.done:
            with self._turn:
                if not request.done:
                    self._add_some()
        if request.fault is not None:
            raise request.fault
        return request.added

    def soon(self, request: Request) -> None:
        """As `add`, without waiting: `request.told` is called, by the notebook's own thread, when the events are on disk or can't be."""
        self._waiting.append(request)
        if self._writer is None:
            self._hire()
        if not self._bell.is_set():
            self._bell.set()

    def close(self) -> None:
        """Let everything that waits be written, and stop."""
        writer = self._writer
        if writer is not None:
            self._closing = True
            self._bell.set()
            writer.join()

    def _hire(self) -> None:
        with self._turn:
            if self._writer is None:
                self._closing = False
                self._writer = threading.Thread(target=self._write_on, name="notebook", daemon=True)
                self._writer.start()

    def _write_on(self) -> None:
        try:
            while not (self._closing and not self._waiting):
                self._bell.wait()
                self._bell.clear()  # before the look: whoever comes after it rings again
                while self._waiting:
                    with self._turn:
                        self._add_some()
        finally:  # one that ends by a fault nobody foresaw leaves its place to another
            self._writer = None
            if self._waiting:
                self._hire()

    def _add_some(self) -> None:
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
                if not request.done and not request.written and request.fault is None:
                    request.fault = NotebookError("The entry wasn't written, because another one failed; send it again.")
                request.tell()

    def _in_one_transaction(self, batch: list[Request]) -> None:
        # by study, so that two programs on a server never wait for each other crosswise
        tables = [(study_id, list(group)) for study_id, group in groupby(sorted(batch, key=lambda r: r.study_id), key=lambda r: r.study_id)]
        if all(request.told is not None for request in batch) and self._all_new(tables):
            return
        results: dict[Request, tuple[Event, ...] | NotebookError] = {}
        with self._store.writing() as connection:
            for study_id, own in tables:
                try:
                    studies.hold(connection, study_id)
                except NotebookError as fault:
                    results |= {request: type(fault)(str(fault)) for request in own}
                else:
                    results |= dict(zip(own, events.append_all(connection, study_id, _asked(own)), strict=True))
        for request, result in results.items():  # only now is it on disk
            if isinstance(result, NotebookError):
                request.fault = result
            else:
                request.added, request.written = result, True

    def _all_new(self, tables: list[tuple[str, list[Request]]]) -> bool:
        """Write everything in the belief that all of it is new and welcome, as it is but for what is sent again; False when it wasn't."""
        try:
            with self._store.writing() as connection:
                for study_id, own in tables:
                    studies.hold(connection, study_id)
                    events.append_new(connection, study_id, _asked(own))
        except Busy:
            raise
        except (events.NotAllNew, NotebookError):
            return False
        for _, own in tables:
            for request in own:
                request.written = True
        return True


def _asked(requests: list[Request]) -> list[events.Asked]:
    return [events.Asked(r.rows, r.while_open, r.token) for r in requests]
