"""Waits for the disk without a thread a phone: what the notebook's thread says is carried over to the server's loop, all that came at once in one go."""

from __future__ import annotations

import asyncio
from collections import deque
from collections.abc import Sequence
from contextlib import suppress
from functools import partial

from proofpan.notebook import Notebook, NotebookError
from proofpan.notebook.entries import NewEvent


class Acknowledging:
    """Keeps events for those who ask on one event loop."""

    def __init__(self, book: Notebook, loop: asyncio.AbstractEventLoop) -> None:
        self._book, self.loop = book, loop
        self._said: deque[tuple[asyncio.Future[None], NotebookError | None]] = deque()
        self._rung = False

    async def keep(self, study_id: str, events: Sequence[NewEvent], while_open: int, token: str) -> None:
        """Keep events while a round's tasting is open and a taster's words stand; on disk when this returns.

        Raises: NotebookError as `Notebook.append`; NotFound also when the words are nobody's any more.
        """
        answer: asyncio.Future[None] = self.loop.create_future()
        self._book.append_soon(study_id, events, partial(self._tell, answer), while_open=while_open, token=token)
        await answer

    def _tell(self, answer: asyncio.Future[None], fault: NotebookError | None) -> None:
        self._said.append((answer, fault))
        if not self._rung:
            self._rung = True
            with suppress(RuntimeError):  # the loop has ended, and nobody waits there any more
                self.loop.call_soon_threadsafe(self._deliver)

    def _deliver(self) -> None:
        self._rung = False  # before the look: whoever speaks after it rings again
        while self._said:
            answer, fault = self._said.popleft()
            if answer.done():
                continue  # the phone hung up; its marks are kept all the same
            if fault is None:
                answer.set_result(None)
            else:
                answer.set_exception(fault)
