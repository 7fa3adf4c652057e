"""Work behind the pages (a dry run, recordings, photographs): how soon it says how far it is, how soon it stops, and what pages wait meanwhile.

    .venv/bin/python -m bench.behind [--repeats 3]

A real server of one worker on SQLite, with the invented crackers and a round planned. Pages are asked for every 0.25 s, whether or not the
last one has come (brief, cook, tasting, readings in turn), and a page's time runs from when it was due: first with nothing going on, then
while each kind of work is done. Each piece of work is started once, stopped as soon as it has said how far it is, and started again to
its end. *Stopped* runs from the tap until the page says so.
"""

from __future__ import annotations

import argparse
import io
import os
import re
import signal
import statistics
import tempfile
import threading
import time
import wave
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from functools import cache
from pathlib import Path

import httpx2
import numpy as np
from bench.killed import SECRET, free_port
from bench.kitchen_photographs import jpeg, scene
from bench.pages import start, stop
from PIL import Image

from proofpan.web.access import link_word

CRACKERS = Path(__file__).parents[1] / "examples" / "seeded_oat_crackers" / "study.yaml"
PAGES = ("brief", "cook", "tasting", "readings")
EVERY_S = 0.25
AT_MOST_S = 300.0


class Lead:
    """The lead's browser."""

    def __init__(self, port: int) -> None:
        self.client = httpx2.Client(base_url=f"http://127.0.0.1:{port}", timeout=60, follow_redirects=True)
        home = self.client.get(f"/in/{link_word(SECRET)}").text
        self.csrf = re.findall(r'name="csrf" value="(\w+)"', home)[0]

    def post(self, path: str, files: list | None = None, **fields: str) -> httpx2.Response:
        """A form."""
        answer = self.client.post(path, data={"csrf": self.csrf, **fields}, files=files)
        answer.raise_for_status()
        return answer

    def planned(self) -> str:
        """The crackers with a round; where they stand."""
        page = self.post("/import", files=[("file", ("study.yaml", CRACKERS.read_bytes(), "application/yaml"))])
        study = page.url.path.rsplit("/", 1)[0]
        self.client.post(f"{study}/rounds", data={"csrf": self.csrf, "what": "plan", "seed": "3"}, follow_redirects=False)
        return study


@contextmanager
def looked_at(lead: Lead, study: str) -> Iterator[list[float]]:
    """Pages asked for all along; the seconds that each took."""
    took: list[float] = []
    over = threading.Event()

    def look(page: str, due: float) -> None:
        lead.client.get(f"{study}/{page}").raise_for_status()
        took.append(time.monotonic() - due)

    def go_on(pool: ThreadPoolExecutor) -> None:
        begun, n = time.monotonic(), 0
        while not over.wait(max(0.0, begun + n * EVERY_S - time.monotonic())):
            pool.submit(look, PAGES[n % len(PAGES)], begun + n * EVERY_S)
            n += 1

    with ThreadPoolExecutor(64) as pool:
        asking = threading.Thread(target=go_on, args=(pool,))
        asking.start()
        try:
            yield took
        finally:
            over.set()
            asking.join()


@cache
def recording(seconds: int, seed: int) -> bytes:
    """Bites, one a second, as a wave file."""
    rate, drawn = 48_000, np.random.default_rng(seed)
    x = drawn.normal(0, 0.002, rate * seconds)
    for i in range(1, seconds):
        x[i * rate : i * rate + 4800] += np.exp(-np.arange(4800) / 450) * drawn.normal(0, 0.4, 4800)
    out = io.BytesIO()
    with wave.open(out, "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(rate)
        file.writeframes((np.clip(x, -1, 1) * 32767).astype("<i2").tobytes())
    return out.getvalue()


@cache
def photograph(seed: int) -> bytes:
    """Four pieces and a grey card, as large as a phone makes it."""
    with Image.open(io.BytesIO(jpeg(scene("D65", "orange", seed=seed)))) as small:
        large = small.resize((4000, 3000))
    out = io.BytesIO()
    large.save(out, "JPEG", quality=88)
    return out.getvalue()


def dry_run(lead: Lead, study: str, n: int) -> str:
    """Play a plan that wasn't played yet; where it says how far it is."""
    form = {"what": "kitchen", "trays": "1", "places": "2", "loads": "2", "at_most": str(2 + n), "passes": "1", "tasters": "Ada, Bo"}
    form |= {"part": "1", "kitchens": "500"}
    return re.findall(r'data-work="([^"]+)/state"', lead.post(f"{study}/dry-run", **form).text)[0]


def brought(kind: str, named: str, make: Callable[[int], bytes], count: int) -> Callable[[Lead, str, int], str]:
    """Brings files as a reading; where it says how far it is."""

    def bring(lead: Lead, study: str, n: int) -> str:
        files = [("file", (named.format(i), make(100 * n + i), "application/octet-stream")) for i in range(count)]
        return lead.post(f"{study}/reading", files, kind=kind, trial="1", view="whole", once=f"{kind}{n}{time.monotonic()}").url.path

    return bring


KINDS: dict[str, Callable[[Lead, str, int], str]] = {
    "dry run, 500 kitchens": dry_run,
    "2 recordings of 4 min": brought("sound", "bites-{}.wav", lambda seed: recording(240, seed), 2),
    "4 photographs of 12 MP": brought("colour", "tray-{}.jpg", photograph, 4),
}


def until(lead: Lead, work: str, good: Callable[[dict], bool]) -> tuple[float, dict]:
    """The seconds until a piece of work is as it should be, and how it stands then."""
    begun = time.monotonic()
    while time.monotonic() - begun < AT_MOST_S:
        state = lead.client.get(f"{work}/state").raise_for_status().json()
        if good(state) or state["ended"]:
            return time.monotonic() - begun, state
        time.sleep(0.02)
    raise RuntimeError(f"{work} isn't there after {AT_MOST_S:g} s")


def play(lead: Lead, study: str, begin: Callable[[Lead, str, int], str], n: int) -> tuple[float, float, float, list[float]]:
    """One piece of work: seconds to the first word, to stop, to its end when started again, and what pages took meanwhile."""
    lead.post(begin(lead, study, n) + "/stop")  # what is brought is made now, and not while it is timed
    begun = time.monotonic()
    work = begin(lead, study, n)
    _, state = until(lead, work, lambda s: s["state"] == "at work" and bool(s["all"]))
    first = time.monotonic() - begun
    tapped = time.monotonic()
    if not state["ended"]:
        lead.post(f"{work}/stop")
    _, state = until(lead, work, lambda s: False)
    stopped = time.monotonic() - tapped if state["state"] == "stopped" else float("nan")
    with looked_at(lead, study) as took:
        begun = time.monotonic()
        work = begin(lead, study, n)
        _, state = until(lead, work, lambda s: False)
        whole = time.monotonic() - begun
    assert state["state"] == "done", state
    return first, stopped, whole, took


def ms(seconds: list[float]) -> str:
    """Median and 99 in 100."""
    p50, p99 = np.percentile(np.array(seconds) * 1000, [50, 99])
    return f"{p50:.0f} | {p99:.0f}"


def main() -> None:
    """Print a line for each kind."""
    asked = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    asked.add_argument("--repeats", type=int, default=3)
    given = asked.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        port = free_port()
        server = start(str(Path(folder) / "notebook.sqlite"), port, 1)
        try:
            lead = Lead(port)
            study = lead.planned()
            for page in PAGES:
                lead.client.get(f"{study}/{page}")
            print(f"load {os.getloadavg()[0]:.1f}\n")
            print("| | first word, s | stopped, s | whole, s | pages p50, ms | p99, ms | pages |\n|---|--:|--:|--:|--:|--:|--:|")
            with looked_at(lead, study) as quiet:
                time.sleep(15)
            print(f"| nothing | | | | {ms(quiet)} | {len(quiet)} |", flush=True)
            for kind, begin in KINDS.items():
                plays = [play(lead, study, begin, n) for n in range(given.repeats)]
                first, stopped, whole = (statistics.median(p[i] for p in plays) for i in range(3))
                took = [t for p in plays for t in p[3]]
                print(f"| {kind} | {first:.1f} | {stopped:.1f} | {whole:.1f} | {ms(took)} | {len(took)} |", flush=True)
            print(f"\nload {os.getloadavg()[0]:.1f}")
        finally:
            stop(server, signal.SIGKILL)


if __name__ == "__main__":
    main()
