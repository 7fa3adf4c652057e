"""The process that does one piece of work: python -m proofpan.web.working FOLDER."""

from __future__ import annotations

import os
import sys
import time
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import Any

from proofpan.study.errors import ProofpanError
from proofpan.web.work import ASKED, LOCK, RESULT, STOPPED, TOLD, locked, try_lock, write

TOLD_EVERY_S = 0.15
NICENESS = 10  # ballots and pages come first
Tell = Callable[[int, int, str], None]


def play(asked: Mapping[str, Any], files: Sequence[Path], tell: Tell) -> Any:
    """A dry run."""
    from proofpan.steps.dry_run import dry_run
    from proofpan.study.study import Study

    def say(done: int, total: int, plan: str) -> None:
        tell(done, total, f"Playing {plan}: {done} of {total} kitchens so far.")

    run = dry_run(Study.from_text(asked["text"]), kitchens=asked["kitchens"], seed=asked["seed"], tell=say)
    return run.model_dump(mode="json")


def measure(asked: Mapping[str, Any], files: Sequence[Path], tell: Tell) -> Any:
    """A reading from recordings or photographs."""
    from proofpan.steps.readings import read_data

    def say(done: int, total: int) -> None:
        tell(done, total, f"Measured {done} of {total} files." if done else f"Measuring {'the file' if total == 1 else f'{total} files'}.")

    return read_data(asked["kind"], [f.read_bytes() for f in files], asked["options"], say).model_dump(mode="json")


KINDS: Mapping[str, Callable[[Mapping[str, Any], Sequence[Path], Tell], Any]] = {"dry run": play, "reading": measure}


class _Teller:
    """Writes how far the work is, not too often; ends it when it was stopped."""

    def __init__(self, folder: Path) -> None:
        self._folder, self._last = folder, 0.0
        write(folder / TOLD, {"pid": os.getpid()})

    def __call__(self, done: int, total: int, says: str) -> None:
        if (self._folder / STOPPED).exists():
            raise SystemExit(0)
        now = time.monotonic()
        if now - self._last < TOLD_EVERY_S and done < total:
            return
        self._last = now
        write(self._folder / TOLD, {"pid": os.getpid(), "at_work": True, "done": done, "all": total, "says": says})


def work(folder: Path) -> None:
    """Do what a folder asks, and leave the result there."""
    import json

    with locked(folder / LOCK):
        tell = _Teller(folder)
        turn = _turn(folder)
        tell(0, 0, "Starting.")
        try:
            if (folder / STOPPED).exists():
                return
            whole = json.loads((folder / ASKED).read_text(encoding="utf-8"))
            files = [folder / f"file-{i}" for i in range(whole["files"])]
            try:
                result = {"result": KINDS[whole["kind"]](whole["asked"], files, tell)}
            except ProofpanError as error:
                result = {"failed": str(error), "field": error.field}
            if not (folder / STOPPED).exists():
                write(folder / RESULT, result)
        finally:
            turn.close()


def _turn(folder: Path) -> Any:
    """A place at the stove: as many works at once as the machine has cores to spare."""
    places = max(1, (os.cpu_count() or 1) - 1)
    while not (folder / STOPPED).exists():
        for i in range(places):
            held = try_lock(folder.parent / f"place-{i}")
            if held is not None:
                return held
        time.sleep(0.1)
    raise SystemExit(0)


if __name__ == "__main__":
    os.nice(NICENESS)
    work(Path(sys.argv[1]))
