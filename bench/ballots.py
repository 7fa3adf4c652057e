"""How fast ballots are acknowledged, beside bare durable inserts of the same rows in the same run.

    .venv/bin/python -m bench.ballots                      # SQLite and, where it is installed, PostgreSQL
    .venv/bin/python -m bench.ballots --tasters 300 --every 3 --seconds 20

Open loop: each of the tasters answers at times drawn beforehand (on average every so many seconds), whether or not the
notebook keeps up, and an answer's time runs from when it was due until it was acknowledged, that is, on disk. Forty
threads take the answers, as many as the web server has. Then the same threads write as fast as they can.
Afterwards every acknowledged answer is looked for: none may be missing, none may be there twice.
"""

import argparse
import json
import queue
import random
import sqlite3
import tempfile
import threading
import time
from collections.abc import Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from tests.notebook.server import postgres_server, programs

from proofpan.notebook import Notebook

THREADS = 40


@dataclass(frozen=True)
class Result:
    """One line of the table; times in milliseconds."""

    what: str
    acknowledged_per_s: float
    p50_ms: float
    p99_ms: float
    worst_ms: float
    missing: int
    doubled: int

    def __str__(self) -> str:
        """The line as it stands in RESULTS.md."""
        numbers = f"{self.acknowledged_per_s:7.0f} | {self.p50_ms:6.1f} | {self.p99_ms:6.1f} | {self.worst_ms:6.1f}"
        return f"| {self.what:52} | {numbers} | {self.missing} | {self.doubled} |"


def answers(count: int, label: str) -> list[tuple[str, dict]]:
    """Ballots as a phone sends them: a key and what was marked."""
    rng = random.Random(3)
    return [
        (
            f"{label}-{n}",
            {
                "round": 1,
                "taster": f"Taster {n % 300}",
                "code": str(rng.randint(100, 999)),
                "attribute": "snap",
                "score": rng.randint(0, 100) / 10,
                "pass": 1,
                "position": n // 300 % 4 + 1,
            },
        )
        for n in range(count)
    ]


def summary(what: str, times: list[float], seconds: float, notebook: Notebook, keys: list[str]) -> Result:
    """Times in seconds to a result, after looking for every key."""
    kept = [event.key for event in notebook.events("tasting")]
    missing = len(set(keys) - set(kept))
    p50, p99 = np.percentile(times, [50, 99]) * 1000
    return Result(what, len(times) / seconds, p50, p99, max(times) * 1000, missing, len(kept) - len(set(kept)))


def open_loop(notebook: Notebook, tasters: int, every: float, seconds: float) -> Result:
    """Answers arrive when they arrive."""
    rng = np.random.default_rng(5)
    due = np.sort(np.concatenate([np.cumsum(rng.exponential(every, int(seconds / every * 3))) for _ in range(tasters)]))
    due = due[due < seconds]
    rows = answers(len(due), "open")
    waiting: queue.SimpleQueue = queue.SimpleQueue()
    times: list[float] = []

    def take() -> None:
        while (item := waiting.get()) is not None:
            at, (key, payload) = item
            notebook.append("tasting", "ballot", payload, key=key)
            times.append(time.perf_counter() - at)

    threads = [threading.Thread(target=take) for _ in range(THREADS)]
    for thread in threads:
        thread.start()
    start = time.perf_counter()
    for at, row in zip(due, rows, strict=True):
        time.sleep(max(0.0, start + at - time.perf_counter()))
        waiting.put((start + at, row))
    for _ in threads:
        waiting.put(None)
    for thread in threads:
        thread.join()
    took = time.perf_counter() - start
    return summary(f"{tasters} tasters, an answer every {every:g} s each", times, took, notebook, [k for k, _ in rows])


def at_once(notebook: Notebook, tasters: int) -> Result:
    """Everybody presses send in the same moment."""
    rows = answers(tasters, "burst")
    return _threaded(notebook, rows, f"{tasters} tasters send in the same moment", from_start=True)


def flat_out(notebook: Notebook, count: int) -> Result:
    """As fast as it goes."""
    return _threaded(notebook, answers(count, "flat"), f"{THREADS} threads as fast as it goes", from_start=False)


def _threaded(notebook: Notebook, rows: list, what: str, *, from_start: bool) -> Result:
    waiting: queue.SimpleQueue = queue.SimpleQueue()
    for row in [*rows, *[None] * THREADS]:
        waiting.put(row)
    times: list[float] = []

    def take() -> None:
        while (item := waiting.get()) is not None:
            began = start if from_start else time.perf_counter()
            notebook.append("tasting", "ballot", item[1], key=item[0])
            times.append(time.perf_counter() - began)

    start = time.perf_counter()
    threads = [threading.Thread(target=take) for _ in range(THREADS)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return summary(what, times, time.perf_counter() - start, notebook, [k for k, _ in rows])


INSERT = "INSERT INTO event (study_id, kind, key, payload, at) VALUES ('tasting', 'ballot', ?, ?, '2026-05-03T09:14:00Z')"


def bare(notebook: Notebook, count: int) -> Result:
    """One connection, one durable transaction an answer, nothing else: what the disk and the driver can do."""
    rows = [(key, json.dumps(payload)) for key, payload in answers(count, "bare")]
    times: list[float] = []
    start = time.perf_counter()
    with _plain(notebook) as run:
        for row in rows:
            began = time.perf_counter()
            run(row)
            times.append(time.perf_counter() - began)
    took = time.perf_counter() - start
    return summary("bare inserts, one connection", times, took, notebook, [k for k, _ in rows])


@contextmanager
def _plain(notebook: Notebook) -> Iterator:
    if notebook.place.file:
        with closing(sqlite3.connect(notebook.place.file, isolation_level=None)) as connection:
            connection.execute("PRAGMA synchronous = FULL")
            yield lambda row: connection.execute(INSERT, row)
    else:
        import psycopg

        address = (notebook.place.server or "").replace("+psycopg", "")
        with psycopg.connect(address, autocommit=True) as connection:
            yield lambda row: connection.execute(INSERT.replace("?", "%s"), row)


def measure(where: str, tasters: int, every: float, seconds: float) -> None:
    """Print a table for one place, bare inserts before and after, since a machine's neighbours come and go."""
    with Notebook.open(where) as notebook:
        notebook.create("Tasting", "text")
        results = [bare(notebook, 400)]
        results.append(open_loop(notebook, tasters, every, seconds))
        results.append(at_once(notebook, tasters))
        results.append(flat_out(notebook, 2000))
        results.append(bare_again(notebook))
    print(f"\n{'PostgreSQL' if '://' in where else 'SQLite'}\n")
    print(f"| {'':52} | acknowledged/s | p50 ms | p99 ms | worst ms | missing | doubled |\n|---|--:|--:|--:|--:|--:|--:|")
    print("\n".join(map(str, results)))
    plain = (results[0].acknowledged_per_s + results[-1].acknowledged_per_s) / 2
    print(f"\nflat out against bare: {100 * results[3].acknowledged_per_s / plain:.0f} in 100")
    assert not any(result.missing or result.doubled for result in results)


def bare_again(notebook: Notebook) -> Result:
    """The second run of bare inserts, under keys of its own."""
    notebook.append_many("tasting", [])
    with _plain(notebook) as run:
        rows = [(f"again-{key}", json.dumps(payload)) for key, payload in answers(400, "bare")]
        start = time.perf_counter()
        times = []
        for row in rows:
            began = time.perf_counter()
            run(row)
            times.append(time.perf_counter() - began)
        took = time.perf_counter() - start
    return summary("bare inserts again", times, took, notebook, [k for k, _ in rows])


def main() -> None:
    """Measure both kinds of notebook."""
    ask = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    ask.add_argument("--tasters", type=int, default=300)
    ask.add_argument("--every", type=float, default=3.0, help="seconds between a taster's answers")
    ask.add_argument("--seconds", type=float, default=20.0)
    given = ask.parse_args()
    with tempfile.TemporaryDirectory() as room:
        measure(str(Path(room) / "notebook.sqlite"), given.tasters, given.every, given.seconds)
    if programs():
        with postgres_server(durable=True) as server:
            measure(server.format(name="postgres"), given.tasters, given.every, given.seconds)


if __name__ == "__main__":
    main()
