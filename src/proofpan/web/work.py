"""Work that takes longer than a page may wait: done by a process of its own, told in words and by a bar, stopped when asked, its result kept.

Each piece of work is a folder beside the originals, so that every server process of the kitchen sees the same: what was asked
(`asked.json` and its files), how far it is (`told.json`), what came of it (`result.json`), or that it was stopped (`stopped`). The process
holds a lock on the folder for as long as it lives: no lock and no result means that it broke off.
"""

from __future__ import annotations

import fcntl
import hashlib
import json
import logging
import os
import re
import shutil
import signal
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from proofpan.web.waiting import LEFT_SAYS, has_left, join, leave

ASKED, TOLD, RESULT, STOPPED, LOCK, KEPT = "asked.json", "told.json", "result.json", "stopped", "lock", "kept"
WAITING, AT_WORK, DONE, FAILED, BROKEN_OFF = "waiting", "at work", "done", "failed", "broken off"
NAME = re.compile(r"[0-9a-f]{32}")
STARTS_WITHIN_S = 30  # a busy machine takes seconds to start a process
KEPT_DAYS, MOST_KEPT = 14, 200
SAYS = {
    WAITING: "Starting.",
    STOPPED: "Stopped. Nothing was kept.",
    BROKEN_OFF: "It broke off: the kitchen’s computer was stopped in the middle. Start it again.",
}


@dataclass(frozen=True)
class Work:
    """A piece of work as it stands. `then` is where its result is shown; `field` the field that a failure is about."""

    name: str
    kind: str
    study: str
    then: str
    state: str
    done: int
    all: int
    says: str
    result: Any
    field: str = ""

    @property
    def ended(self) -> bool:
        """Whether nothing more will come."""
        return self.state not in (WAITING, AT_WORK)


Settle = Callable[[str, Mapping[str, Any], Any, Sequence[Path]], None]  # the study, what was asked, what came of it, its files


def name_of(kind: str, study: str, asked: Mapping[str, Any]) -> str:
    """The name of a piece of work: the same words have the same."""
    return hashlib.sha256(json.dumps([kind, study, asked], sort_keys=True).encode()).hexdigest()[:32]


class Works:
    """All work of one kitchen. Any number of threads and server processes may use the same folder."""

    def __init__(self, folder: Path, settle: Mapping[str, Settle] | None = None) -> None:
        self._folder = folder
        self._settle = dict(settle or {})
        self._running: dict[str, subprocess.Popen[bytes]] = {}
        self._lock = threading.Lock()

    def start(self, kind: str, study: str, asked: Mapping[str, Any], then: str, files: Sequence[bytes] = (), who: str = "") -> Work:
        """Start a piece of work, or find the one that was started for the same words.

        Parameters: asked, anything that JSON can hold; then, the page that shows the result; files, given to it in order;
            who, the device that waits for it.
        """
        name = name_of(kind, study, asked)
        there = self.of(name)
        if there is not None and there.state in (WAITING, AT_WORK, DONE):
            join(self._folder / name, who)
            return there
        self._folder.mkdir(parents=True, exist_ok=True)
        self._sweep()
        making = Path(tempfile.mkdtemp(prefix="making-", dir=self._folder))
        for i, data in enumerate(files):
            (making / f"file-{i}").write_bytes(data)
        whole = {"kind": kind, "study": study, "asked": asked, "then": then, "files": len(files)}
        (making / ASKED).write_text(json.dumps(whole), encoding="utf-8")
        (making / LOCK).touch()
        join(making, who)
        target = self._folder / name
        if there is not None:
            shutil.rmtree(target, ignore_errors=True)
        try:
            os.rename(making, target)
        except OSError:  # another server process was quicker
            shutil.rmtree(making, ignore_errors=True)
            join(target, who)
        else:
            self._set_going(name, target)
        found = self.of(name)
        assert found is not None
        return found

    def _set_going(self, name: str, folder: Path) -> None:
        command = [sys.executable, "-m", "proofpan.web.working", str(folder)]
        process = subprocess.Popen(command, stdin=subprocess.DEVNULL, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, start_new_session=True)
        with self._lock:
            self._running[name] = process
        threading.Thread(target=self._wait_for, args=(name, process), daemon=True).start()

    def _wait_for(self, name: str, process: subprocess.Popen[bytes]) -> None:
        process.wait()
        with self._lock:
            self._running.pop(name, None)
        try:
            self.of(name)  # keeps what came of it
        except Exception:  # this thread is nobody's: the page that asks next keeps it, or says why it can't
            logging.getLogger(__name__).debug("not kept yet", exc_info=True)

    def of(self, name: str, who: str = "") -> Work | None:
        """A piece of work as it stands, for a device that may have stopped it for itself; none where there is no such one.

        What came of it is kept first, once.
        """
        folder = self._folder / name
        if not NAME.fullmatch(name) or not (folder / ASKED).is_file():
            return None
        whole = _read(folder / ASKED)
        if whole is None:
            return None
        state, said = _state(folder)
        if state == DONE and whole["kind"] in self._settle and not (folder / KEPT).exists():
            self._settle[whole["kind"]](whole["study"], whole["asked"], said["result"], _files(folder, whole))
            (folder / KEPT).touch()
            _let_go_of_files(folder)
        elif state == FAILED:
            _let_go_of_files(folder)
        if state in (WAITING, AT_WORK) and has_left(folder, who):
            state, said = STOPPED, {"says": LEFT_SAYS}
        return Work(
            name, whole["kind"], whole["study"], whole["then"], state, int(said.get("done", 0)), int(said.get("all", 0)),
            str(said.get("says") or SAYS.get(state, "")), said.get("result"), str(said.get("field") or ""),
        )

    def stop(self, name: str, who: str = "") -> Work | None:
        """Stop it, wherever it was started, unless another device than `who` waits for it; what is done already stays."""
        folder = self._folder / name
        work = self.of(name)
        if work is None or work.ended:
            return work
        if leave(folder, who):
            return self.of(name, who)
        (folder / STOPPED).touch()
        told = _read(folder / TOLD) or {}
        if _locked(folder) and told.get("pid"):
            _end(int(told["pid"]))
        with self._lock:
            process = self._running.get(name)
        if process is not None:
            _end(process.pid)
        _let_go_of_files(folder)
        return self.of(name)

    def wait(self, name: str, seconds: float) -> Work | None:
        """A piece of work after so many seconds, or as soon as it has ended."""
        until = time.monotonic() + seconds
        while (work := self.of(name)) is not None and not work.ended and time.monotonic() < until:
            time.sleep(0.05)
        return work

    def close(self) -> None:
        """End everything that this server process started."""
        with self._lock:
            running = list(self._running.values())
        for process in running:
            _end(process.pid)

    def _sweep(self) -> None:
        """Let go of old work, and of what was never finished making."""
        now = time.time()
        found = sorted(((f.stat().st_mtime, f) for f in self._folder.iterdir() if f.is_dir()), reverse=True)
        for i, (made, folder) in enumerate(found):
            if (i >= MOST_KEPT or now - made > KEPT_DAYS * 86400) and not _locked(folder):
                shutil.rmtree(folder, ignore_errors=True)


def _state(folder: Path) -> tuple[str, dict[str, Any]]:
    for _ in range(2):
        result = _read(folder / RESULT)
        if result is not None:
            return (FAILED if "failed" in result else DONE), {**result, "says": result.get("failed", "")}
        if (folder / STOPPED).exists():
            return STOPPED, {}
        told = _read(folder / TOLD)
        if _locked(folder):
            return (AT_WORK, told) if told is not None and told.get("at_work") else (WAITING, {"says": "Waiting until other work is done."})
        if told is None and time.time() - (folder / ASKED).stat().st_mtime < STARTS_WITHIN_S:
            return WAITING, {}
        # it may have ended between the look for its result and the look at its lock: look once more
    return BROKEN_OFF, {}


def _read(file: Path) -> dict[str, Any] | None:
    try:
        out: dict[str, Any] = json.loads(file.read_text(encoding="utf-8"))
    except (FileNotFoundError, NotADirectoryError):
        return None
    return out


def write(file: Path, value: Mapping[str, Any]) -> None:
    """A file that is there whole or not at all."""
    beside = file.with_name(f"{file.name}.{os.getpid()}")
    beside.write_text(json.dumps(value), encoding="utf-8")
    os.replace(beside, file)


@contextmanager
def locked(file: Path) -> Iterator[None]:
    """Hold a file's lock for as long as this process lives, or to the end of the block."""
    with file.open("a") as held:
        fcntl.flock(held, fcntl.LOCK_EX)
        yield


def try_lock(file: Path) -> Any:
    """The file, locked, to be closed when done; none where another holds it."""
    held = file.open("a")
    try:
        fcntl.flock(held, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError:
        held.close()
        return None
    return held


def _locked(folder: Path) -> bool:
    try:
        with (folder / LOCK).open() as looked:
            fcntl.flock(looked, fcntl.LOCK_SH | fcntl.LOCK_NB)
    except FileNotFoundError:
        return False
    except OSError:
        return True
    return False


def _end(group: int) -> None:
    with suppress(ProcessLookupError, PermissionError):  # it has ended already
        os.killpg(group, signal.SIGTERM)


def _files(folder: Path, whole: Mapping[str, Any]) -> list[Path]:
    return [folder / f"file-{i}" for i in range(int(whole["files"]))]


def _let_go_of_files(folder: Path) -> None:
    for file in folder.glob("file-*"):
        file.unlink(missing_ok=True)
