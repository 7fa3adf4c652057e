"""Kills a writer 200 times in the middle of its appends and counts what was lost and what was doubled.

    .venv/bin/python -m bench.faults [--kills 200]

Each writer is a process of its own that says a key once the notebook has acknowledged it; SIGKILL comes at a random
moment within 30 ms. Goal: no acknowledged event is missing, none is there twice.
"""

import argparse
import random
import tempfile
from pathlib import Path

from tests.notebook.server import postgres_server, programs
from tests.notebook.test_faults import killed_while_writing

from proofpan.notebook import Notebook


def measure(where: str, kills: int) -> None:
    """Kill writers of one notebook and print the counts."""
    rng = random.Random(17)
    with Notebook.open(where) as notebook:
        notebook.create("Dip", "text")
    acknowledged = [key for n in range(kills) for key in killed_while_writing(where, str(n), rng)]
    with Notebook.open(where) as notebook:
        kept = [event.key for event in notebook.events("dip")]
    lost, doubled = len(set(acknowledged) - set(kept)), len(kept) - len(set(kept))
    kind = "PostgreSQL" if "://" in where else "SQLite"
    print(f"| {kind} | {kills} | {len(acknowledged)} | {len(kept)} | {lost} | {doubled} |", flush=True)
    assert not lost and not doubled


def main() -> None:
    """Measure both kinds of notebook."""
    ask = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    ask.add_argument("--kills", type=int, default=200)
    kills = ask.parse_args().kills
    print("| notebook | kills | acknowledged | kept | lost | doubled |\n|---|--:|--:|--:|--:|--:|")
    with tempfile.TemporaryDirectory() as room:
        measure(str(Path(room) / "notebook.sqlite"), kills)
    if programs():
        with postgres_server(durable=True) as server:
            measure(server.format(name="postgres"), kills)


if __name__ == "__main__":
    main()
