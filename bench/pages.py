"""How fast the pages acknowledge ballots over HTTP, and whether a killed server loses or doubles one.

    .venv/bin/python -m bench.pages                        # 300 tasters, open loop
    .venv/bin/python -m bench.pages --kills 20             # and the server killed (SIGKILL) twenty times while marks come

Each taster marks a plate at times drawn beforehand, whether or not the server keeps up; an answer's time runs from when it was due until
it was acknowledged, that is, on disk. One server process; the phones run beside it on the same machine.
"""

import argparse
import http.client
import json
import os
import queue
import random
import signal
import socket
import subprocess
import sys
import tempfile
import threading
import time
from pathlib import Path

import numpy as np

from proofpan.notebook import Notebook
from proofpan.notebook.shelf import add_round, keep_study, read_study
from proofpan.steps.rounds import next_round
from proofpan.study.study import Study

PHONES = 40


def prepared(folder: Path, tasters: int) -> tuple[str, dict[str, tuple[str, list[str]]]]:
    """A notebook with an open tasting: {taster: (token, codes)}; one plate each two, so that codes don't run out."""
    study = Study.from_dict({
        "title": "Load", "tasters": tasters, "attributes": [{"name": n} for n in ("snap", "flavour", "colour")],
        "factors": [{"name": "fat", "options": ["butter", "olive oil", "lard"]}], "rounds": {"plates": 3},
    })
    with Notebook.open(folder / "notebook.sqlite") as book:
        entry = keep_study(book, study)
        round_ = next_round(study, seed=1)
        add_round(book, entry.id, round_)
        tokens = book.open_tasting(entry.id, round_.number, [t for t in study.tasters if round_.orders.get(t)])
    return entry.id, {t: (token, round_.orders[t]) for t, token in tokens.items()}


def start(folder: Path, port: int) -> subprocess.Popen[bytes]:
    """The server, answering."""
    env = {**os.environ, "PROOFPAN_WEB_NOTEBOOK": str(folder / "notebook.sqlite"), "PROOFPAN_WEB_SECRET": "bench", "OPENBLAS_NUM_THREADS": "1"}
    command = [sys.executable, "-m", "uvicorn", "proofpan.web.serving:worker", "--factory", "--port", str(port)]
    command += ["--log-level", "error", "--no-access-log"]
    server = subprocess.Popen(command, env=env)
    while True:
        try:
            with socket.create_connection(("127.0.0.1", port), timeout=1):
                return server
        except OSError:
            time.sleep(0.05)


def send(port: int, token: str, body: bytes, until: float) -> bool:
    """Send one plate's marks until they are acknowledged, as a phone does."""
    while time.monotonic() < until:
        try:
            line = http.client.HTTPConnection("127.0.0.1", port, timeout=8)
            line.request("POST", f"/t/{token}/marks", body, {"content-type": "application/json"})
            answer = line.getresponse()
            said = json.loads(answer.read())
            line.close()
            if answer.status == 200 and said["answer"] == "kept":
                return True
        except (OSError, http.client.HTTPException, ValueError):
            time.sleep(0.1)
    return False


def main() -> None:
    """Play, and print a line."""
    asked = argparse.ArgumentParser()
    asked.add_argument("--tasters", type=int, default=300)
    asked.add_argument("--seconds", type=float, default=15)
    asked.add_argument("--kills", type=int, default=0)
    given = asked.parse_args()
    folder = Path(tempfile.mkdtemp())
    study_id, phones = prepared(folder, given.tasters)
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    server = [start(folder, port)]
    drawn = random.Random(1)
    due = sorted((drawn.uniform(0, given.seconds), token, code) for token, codes in phones.values() for code in codes)
    waiting: queue.Queue[tuple[float, str, str]] = queue.Queue()
    took: list[float] = []
    begun = time.monotonic()

    def phone() -> None:
        while True:
            at, token, code = waiting.get()
            body = json.dumps({"code": code, "m0": "6", "m1": "5", "m2": "7", "m3": "4", "at": "2026-11-25T12:00"}).encode()
            if send(port, token, body, begun + given.seconds + 120):
                took.append(time.monotonic() - begun - at)
            waiting.task_done()

    def killer() -> None:
        for _ in range(given.kills):
            time.sleep(drawn.uniform(0.5, 1.5))
            server[0].send_signal(signal.SIGKILL)
            server[0].wait()
            server[0] = start(folder, port)

    for _ in range(PHONES):
        threading.Thread(target=phone, daemon=True).start()
    kills = threading.Thread(target=killer)
    kills.start()
    for at, token, code in due:
        time.sleep(max(0.0, begun + at - time.monotonic()))
        waiting.put((at, token, code))
    waiting.join()
    kills.join()
    server[0].terminate()
    server[0].wait()
    with Notebook.open(folder / "notebook.sqlite") as book:
        rows = read_study(book, study_id).ballot_records
    plates = {(b.taster, b.trial) for b in rows}
    p50, p99 = np.percentile(np.array(took) * 1000, [50, 99])
    print(f"{given.tasters} tasters, {len(due)} plates of 4 marks in {given.seconds:g} s: acknowledged {len(took)}, "
          f"p50 {p50:.0f} ms, p99 {p99:.0f} ms; "
          f"in the notebook {len(plates)} plates, {len(rows)} marks ({len(plates) * 4} wanted); killed {given.kills} times")


if __name__ == "__main__":
    main()
