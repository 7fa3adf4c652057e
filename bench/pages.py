"""How fast the pages acknowledge ballots over HTTP, and whether a killed server loses or doubles one.

    .venv/bin/python -m bench.pages                                     # 300 tasters, open loop, then flat out, beside bare inserts
    .venv/bin/python -m bench.pages --server postgres --workers 2       # the same on a PostgreSQL started for it
    .venv/bin/python -m bench.pages --kills 200 --plates 6               # SIGKILL two hundred times while marks come; five minutes

Open loop: each taster marks a plate at times drawn beforehand, whether or not the server keeps up; an answer's time runs from when it was
due until it was acknowledged, that is, on disk. Flat out: every phone sends its next plate as soon as the last one is acknowledged. Bare:
one connection, one durable transaction a plate with the same rows, nothing else, before and after. The phones run beside the server on
the same machine and take their share of it. Afterwards every acknowledged plate is looked for: none may be missing, none there twice.

Kills: each plate is marked in a life of the server drawn beforehand and sent until it is acknowledged; SIGKILL comes within 0.3 s of the
first answer of each life, then while a phone asks (within another 0.3 s). *Broken off* counts the requests that a kill left without their
answer: those the phones sent again under the same key, and the only ones that could be lost or doubled.
"""

from __future__ import annotations

import argparse
import asyncio
import json
import os
import random
import signal
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from contextlib import ExitStack, closing, suppress
from pathlib import Path

import numpy as np
from bench.killed import STARTS_WITHIN_S, answers, fork_server, free_port
from bench.killed import kill as kill_forked
from bench.phones import Phone
from tests.notebook.server import postgres_server

from proofpan.notebook import Notebook
from proofpan.notebook.shelf import add_round, keep_study
from proofpan.steps.rounds import next_round
from proofpan.study.study import Study

Table = dict[str, tuple[str, list[str]]]
AT_MOST_TOGETHER = 900  # a round has no more codes than that: larger tables are several tastings of as many studies
PLATES_FLAT_OUT = 6  # a taster: long enough that the first answers of a new server weigh little


def prepared(where: str, tasters: int, plates: int, label: str) -> Table:
    """Open tastings: {study and taster: (token, codes)}."""
    out: Table = {}
    each = AT_MOST_TOGETHER // plates
    with Notebook.open(where) as book:
        for first in range(0, tasters, each):
            study = Study.from_dict(
                {
                    "title": f"{label} {first}",
                    "tasters": min(each, tasters - first),
                    "attributes": [{"name": n} for n in ("snap", "flavour", "colour")],
                    "factors": [{"name": "fat", "options": [f"fat {i}" for i in range(plates)]}],
                    "rounds": {"plates": plates},
                }
            )
            entry = keep_study(book, study)
            round_ = next_round(study, seed=1)
            add_round(book, entry.id, round_)
            tokens = book.open_tasting(entry.id, round_.number, [t for t in study.tasters if round_.orders.get(t)])
            out |= {f"{entry.id}/{t}": (token, round_.orders[t]) for t, token in tokens.items()}
    return out


def start(where: str, port: int, workers: int) -> subprocess.Popen[bytes]:
    """The server, answering; it and its workers are one group, so that a kill takes them all.

    Raises: RuntimeError when it ended or says nothing within the start limit.
    """
    env = {**os.environ, "PROOFPAN_WEB_NOTEBOOK": where, "PROOFPAN_WEB_SECRET": "bench", "OPENBLAS_NUM_THREADS": "1"}
    command = [sys.executable, "-m", "uvicorn", "proofpan.web.serving:worker", "--factory", "--port", str(port), "--workers", str(workers)]
    server = subprocess.Popen([*command, "--log-level", "error", "--no-access-log"], env=env, start_new_session=True)
    latest = time.monotonic() + STARTS_WITHIN_S
    while time.monotonic() < latest and server.poll() is None:
        if answers(port):
            return server
        time.sleep(0.05)
    ended = server.poll()
    stop(server, signal.SIGKILL)
    raise RuntimeError(f"the server at port {port} {f'ended with {ended}' if ended is not None else f'said nothing for {STARTS_WITHIN_S} s'}")


def stop(server: subprocess.Popen[bytes], how: signal.Signals) -> None:
    """End the server and its workers."""
    with suppress(ProcessLookupError):
        os.killpg(server.pid, how)
    server.wait()


def processor_s(server: subprocess.Popen[bytes]) -> float:
    """Processor time that the server and its workers have used so far (PostgreSQL's own not among it)."""
    ticks = 0
    for file in Path("/proc").glob("[0-9]*/stat"):
        with suppress(OSError):  # one that has just ended
            said = file.read_text().rsplit(")", 1)[1].split()
            if int(said[3]) == server.pid:  # its session
                ticks += int(said[11]) + int(said[12])
    return ticks / os.sysconf("SC_CLK_TCK")


async def open_loop(table: Table, port: int, seconds: float) -> list[float]:
    """Plates come when they come, in each taster's order; gives the seconds each waited."""
    drawn = random.Random(1)
    begun = time.monotonic()
    took: list[float] = []

    async def taster(token: str, codes: list[str]) -> None:
        phone = Phone(port, token)
        for due, code in zip(sorted(drawn.uniform(0, seconds) for _ in codes), codes, strict=True):
            await asyncio.sleep(max(0.0, begun + due - time.monotonic()))
            if await phone.mark(code, begun + seconds + 300):
                took.append(time.monotonic() - begun - due)
        phone.hang_up()

    await asyncio.gather(*(taster(*seat) for seat in table.values()))
    return took


async def through_kills(table: Table, port: int, end: Callable[[], None], begin: Callable[[], None], kills: int) -> tuple[list[float], int]:
    """Plates in lives of the server drawn beforehand, each life cut short: (seconds each waited, requests broken off)."""
    drawn = random.Random(1)
    lives = [asyncio.Event() for _ in range(kills + 1)]
    took: list[float] = []
    phones: list[Phone] = []

    async def taster(token: str, codes: list[str]) -> None:
        phone = Phone(port, token)
        phones.append(phone)
        for life, code in zip(sorted(drawn.randint(0, kills) for _ in codes), codes, strict=True):
            await lives[life].wait()
            await asyncio.sleep(drawn.uniform(0, 0.3))
            due = time.monotonic()
            if await phone.mark(code, due + kills * STARTS_WITHIN_S):
                took.append(time.monotonic() - due)
        phone.hang_up()

    async def some_phone_asks() -> None:
        latest = time.monotonic() + 0.3  # a kill that comes when nobody asks shows nothing
        while time.monotonic() < latest and not any(phone.asking for phone in phones):
            await asyncio.sleep(0)
        await asyncio.sleep(drawn.uniform(0, 0.004))  # before, in and after the write

    async def killer() -> None:
        for n, life in enumerate(lives):
            life.set()
            if n < kills:
                await asyncio.sleep(drawn.uniform(0.02, 0.3))
                await some_phone_asks()
                end()
                for phone in phones:
                    if not phone.asking:
                        phone.hang_up()  # or their next request would count as broken off
                await asyncio.to_thread(begin)
            if n and n % 20 == 0:
                print(f"killed {n} times, {len(took)} plates acknowledged", file=sys.stderr, flush=True)

    async with asyncio.TaskGroup() as group:
        group.create_task(killer())
        for seat in table.values():
            group.create_task(taster(*seat))
    return took, sum(phone.broken_off for phone in phones)


async def flat_out(table: Table, port: int, phones: int = 40) -> tuple[int, float]:
    """Forty phones at a time as fast as it goes: (plates acknowledged, seconds)."""
    waiting = list(table.values())
    begun, kept = time.monotonic(), 0

    async def take() -> None:
        nonlocal kept
        while waiting:
            token, codes = waiting.pop()
            phone = Phone(port, token)
            for code in codes:
                if await phone.mark(code, begun + 300):
                    kept += 1
            phone.hang_up()

    await asyncio.gather(*(take() for _ in range(phones)))
    return kept, time.monotonic() - begun


INSERT = "INSERT INTO event (study_id, kind, key, payload, at) VALUES (?, 'ballot', ?, ?, '2026-05-03T09:14:00Z')"


def bare(where: str, plates: int, label: str, rows_each: int = 4) -> float:
    """Transactions a second: one connection, each durable, of the four rows of a plate or of one."""
    with Notebook.open(where) as book:
        study_id = book.create(f"Bare {label}", "text").id
        place = book.place
    payload = {"round": 1, "taster": "Taster 7", "trial": 3, "pass": 1, "attribute": "snap", "score": 6.5, "position": 2, "time": "2026-11-25T12:00"}
    rows = [[(study_id, f"mark:1:Taster {n}:3:1:{k}", json.dumps(payload)) for k in range(rows_each)] for n in range(plates)]
    if place.file:
        import sqlite3

        with closing(sqlite3.connect(place.file, isolation_level=None)) as connection:
            connection.execute("PRAGMA synchronous = FULL")
            begun = time.monotonic()
            for four in rows:
                connection.execute("BEGIN IMMEDIATE")
                connection.executemany(INSERT, four)
                connection.execute("COMMIT")
            return plates / (time.monotonic() - begun)
    import psycopg

    with psycopg.connect((place.server or "").replace("+psycopg", "")) as connection:
        begun = time.monotonic()
        for four in rows:
            with connection.cursor() as cursor:
                cursor.executemany(INSERT.replace("?", "%s"), four)
            connection.commit()
        return plates / (time.monotonic() - begun)


def counted(where: str, table: Table) -> tuple[int, int, int]:
    """(marks kept, plates missing, marks doubled) of what was acknowledged."""
    studies = {name.split("/")[0] for name in table}
    marks: list[tuple[str, ...]] = []
    with Notebook.open(where) as book:
        for study_id in studies:
            marks += [
                (study_id, str(e.payload["taster"]), str(e.payload["trial"]), str(e.payload["attribute"])) for e in book.events(study_id, "ballot")
            ]
    plates = {m[:3] for m in marks}
    wanted = sum(len(codes) for _, codes in table.values())
    return len(marks), wanted - len(plates), len(marks) - len(set(marks))


def play(where: str, given: argparse.Namespace) -> None:
    """Play, and print a line for each part."""
    name = "PostgreSQL" if "://" in where else "SQLite"
    port = free_port()
    before = bare(where, 300, "before")
    table = prepared(where, given.tasters, given.plates, "Load")
    more = prepared(where, given.tasters, PLATES_FLAT_OUT, "Flat") if not given.kills else {}
    broken_off = 0
    server: list[Callable[[], None]] = []
    try:
        if given.kills:
            forked = [fork_server(where, port)]
            server.append(lambda: kill_forked(forked[0]))

            def begin() -> None:
                forked[0] = fork_server(where, port)

            took, broken_off = asyncio.run(through_kills(table, port, server[0], begin, given.kills))
        else:
            running = start(where, port, given.workers)
            server.append(lambda: stop(running, signal.SIGKILL))
            time.sleep(2 * given.workers)  # the other workers are still starting, and would take the processor
            took = asyncio.run(open_loop(table, port, given.seconds))
        plates = sum(len(codes) for _, codes in table.values())
        p50, p99 = np.percentile(np.array(took) * 1000, [50, 99])
        marks, missing, doubled = counted(where, table)
        over = f"killed {given.kills} times, {broken_off} requests broken off" if given.kills else f"in {given.seconds:g} s"
        print(f"{name}, {given.workers} workers: {given.tasters} tasters, {plates} plates of 4 marks, {over}: "
              f"acknowledged {len(took)}, p50 {p50:.0f} ms, p99 {p99:.0f} ms; in the notebook {marks} marks, "
              f"missing {missing} plates, doubled {doubled}", flush=True)  # fmt: skip
        assert len(took) == plates and not missing and not doubled
        if more:
            used = processor_s(running)
            kept, seconds = asyncio.run(flat_out(more, port))
            used = processor_s(running) - used
            after = bare(where, 300, "after")
            single = bare(where, 1200, "single", 1)
            plain = (before + after) / 2
            print(f"{name}, {given.workers} workers, 40 phones flat out: {kept / seconds:.0f} plates/s acknowledged; bare {before:.0f} and {after:.0f} "
                  f"plates/s: {100 * kept / seconds / plain:.0f} in 100; "
                  f"bare {single:.0f} marks/s one by one: {400 * kept / seconds / single:.0f} in 100; "
                  f"missing {counted(where, more)[1]}; the server's processor time {1000 * used / kept:.2f} ms a plate; load {os.getloadavg()[0]:.1f}",
                  flush=True)  # fmt: skip
    finally:
        for end in server:
            end()


def main() -> None:
    """Play on one kind of notebook."""
    asked = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    asked.add_argument("--server", choices=["sqlite", "postgres"], default="sqlite")
    asked.add_argument("--workers", type=int, default=1)
    asked.add_argument("--tasters", type=int, default=300)
    asked.add_argument("--plates", type=int, default=3)
    asked.add_argument("--seconds", type=float, default=15)
    asked.add_argument("--kills", type=int, default=0)
    given = asked.parse_args()
    with ExitStack() as stack:
        folder = stack.enter_context(tempfile.TemporaryDirectory())
        if given.server == "postgres":
            os.environ["PROOFPAN_MEDIA"] = str(Path(folder) / "media")
            play(stack.enter_context(postgres_server(durable=True)).format(name="postgres"), given)
        else:
            play(str(Path(folder) / "notebook.sqlite"), given)


if __name__ == "__main__":
    main()
