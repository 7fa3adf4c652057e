"""Adds what many threads bring in one transaction, so that a table of phones waits for the disk once, not in a row.

Whoever comes first adds all that is waiting; those who came meanwhile find theirs done. Each still hears of their own
events only after the transaction that holds them is on disk, and a fault of one touches nobody else.
"""

import threading
from collections import deque
from contextlib import nullcontext
from dataclasses import dataclass, field
from itertools import groupby
from typing import Any

from sqlalchemy.engine import Connection

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
    added: tuple[Event, ...] = ()
    fault: NotebookError | None = None
    done: bool = field(default=False)


class Together:
    """The queue of one notebook."""

    def __init__(self, store: Store):
        self._store = store
        self._waiting: deque[Request] = deque()
        self._turn = threading.Lock()

    def add(self, request: Request) -> tuple[Event, ...]:
        """Add a request's events, with those of others that are waiting.

        Raises:
            NotebookError: as `events.append`; nothing of this request was written.
        """
        self._waiting.append(request)
        while not request.done:
            with self._turn:
                if not request.done:
                    self._add_all([self._waiting.popleft() for _ in range(min(AT_MOST, len(self._waiting)))])
        if request.fault is not None:
            raise request.fault
        return request.added

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
                request.done = True

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
                    results |= {request: _append(connection, request) for request in own}
        for request, result in results.items():  # only now is it on disk
            if isinstance(result, NotebookError):
                request.fault = result
            else:
                request.added = result


def _append(connection: Connection, request: Request) -> tuple[Event, ...] | NotebookError:
    # several rows are written or not as one; a single one can't be written by halves
    several = connection.begin_nested() if len(request.rows) > 1 else nullcontext()
    try:
        with several:
            return events.append(connection, request.study_id, request.rows, request.while_open)
    except NotebookError as fault:
        return fault
