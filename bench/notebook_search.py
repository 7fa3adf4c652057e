"""How long a search takes in a notebook of 2,000 studies, on SQLite and on PostgreSQL, beside their bare indexes: `python bench/notebook_search.py`.

The studies are invented: eight dishes with other titles, about 2,000 characters of words each. Before anything is timed every side is
asked for all it finds, and all must agree on the very same studies. The bare sides are the databases' own: an FTS5 table in a file with
bm25 and snippet, and a tsvector column under a GIN index with ts_rank and ts_headline, each asked straight through its driver, without
titles that weigh more, accents folded by us, deleted studies left out or anything of ours. Each query is asked 40 times, sides taking turns.
"""

from __future__ import annotations

import random
import sqlite3
import sys
import tempfile
import time
from collections.abc import Callable
from contextlib import ExitStack
from pathlib import Path

import numpy as np
import psycopg
from tests.notebook.server import postgres_server, programs

from proofpan.notebook import Notebook
from proofpan.notebook.finding import fold

STUDIES, ASKED, SHOWN, GOAL_MS = 2000, 40, 20, 50.0
DISHES = ("oat crackers", "cucumber dip", "chicken thighs", "chocolate cake", "seeded loaf", "quince jam", "lentil soup", "lemon tart")
THINGS = ("olive oil", "unsalted butter", "malt syrup", "plain flour", "rolled oats", "sesame seeds", "fine salt", "buttermilk", "crème fraîche", "cumin",
          "brown sugar", "egg yolk", "lemon zest", "yeast", "black pepper", "paprika", "honey", "sunflower oil", "cornflour", "yoghurt")
RARE = ("tonka", "sumac", "piment d’Espelette", "Grünkern", "kombu")
WORDS = ("rest", "crisp", "overnight", "warm", "fold", "until", "golden", "covered", "fridge", "sharp", "snap", "crumb", "tender", "dry", "salty", "sweet")
QUERIES = ("olive oil", "crackers", "creme fraiche", "golden", "malt syrup crackers overnight", "zest", "grunkern", "sumac cake", "h", "nothing such")

Ask = Callable[[str, int], list[int]]


def studies() -> list[tuple[str, str]]:
    """(title, words) of each."""
    drawn = random.Random(7)
    out = []
    for i in range(STUDIES):
        words = " ".join(drawn.choice(THINGS + WORDS) for _ in range(280)) + (f" {drawn.choice(RARE)}" if drawn.random() < 0.02 else "")
        out.append((f"{drawn.choice(DISHES).capitalize()} {i}", words))
    return out


def ours(book: Notebook, all_of_them: list[tuple[str, str]]) -> Ask:
    """A notebook filled with them."""
    number = {}
    for i, (title, words) in enumerate(all_of_them):
        number[book.create(title, f"title: {title}\nquestion: which is best?\n", search_text=words).id] = i
    return lambda query, limit: [number[f.study] for f in book.search(query, limit)]


def bare_file(folder: Path, all_of_them: list[tuple[str, str]]) -> Ask:
    """FTS5 by itself."""
    held = sqlite3.connect(folder / "bare.sqlite")
    held.execute("CREATE VIRTUAL TABLE bare USING fts5(title, words, tokenize = 'porter unicode61 remove_diacritics 2')")
    held.executemany("INSERT INTO bare (rowid, title, words) VALUES (?, ?, ?)", [(i, *x) for i, x in enumerate(all_of_them)])
    held.commit()
    statement = "SELECT rowid, snippet(bare, 1, '«', '»', '…', 12) FROM bare WHERE bare MATCH ? ORDER BY bm25(bare) LIMIT ?"
    return lambda query, limit: [row[0] for row in held.execute(statement, (" ".join(f'"{w}"*' for w in query.split()), limit))]


def bare_server(address: str, all_of_them: list[tuple[str, str]]) -> Ask:
    """A tsvector by itself."""
    held = psycopg.connect(address, autocommit=True)
    held.execute("CREATE TABLE words (id int PRIMARY KEY, title text, words text, folded text, vector tsvector)")
    with held.cursor() as cursor:
        rows = [(i, title, words, fold(f"{title} {words}")) for i, (title, words) in enumerate(all_of_them)]
        cursor.executemany("INSERT INTO words (id, title, words, folded) VALUES (%s, %s, %s, %s)", rows)
    held.execute("UPDATE words SET vector = to_tsvector('english', folded)")
    held.execute("CREATE INDEX ON words USING gin (vector)")
    held.execute("ANALYZE words")
    statement = ("WITH hits AS (SELECT id, words, ts_rank(vector, to_tsquery('english', %(q)s)) AS rank FROM words "
                 "WHERE vector @@ to_tsquery('english', %(q)s) ORDER BY rank DESC LIMIT %(n)s) "
                 "SELECT id, ts_headline('english', words, to_tsquery('english', %(q)s), 'MaxWords=12,MinWords=6') FROM hits ORDER BY rank DESC")
    return lambda query, limit: [row[0] for row in held.execute(statement, {"q": " & ".join(f"{w}:*" for w in query.split()), "n": limit}).fetchall()]


def main() -> int:
    """Build, compare, ask, tell; exit 1 when a side finds other studies or our 95th percentile is above 50 ms."""
    all_of_them = studies()
    with ExitStack() as stack:
        folder = Path(stack.enter_context(tempfile.TemporaryDirectory(prefix="proofpan-bench-")))
        sides = {"ours, SQLite": ours(stack.enter_context(Notebook.open(folder / "notebook.sqlite")), all_of_them),
                 "FTS5 alone": bare_file(folder, all_of_them)}
        if programs() is not None:
            address = stack.enter_context(postgres_server(durable=True))
            with psycopg.connect(address.format(name="postgres"), autocommit=True) as first:
                first.execute("CREATE DATABASE ours")
                first.execute("CREATE DATABASE bare")
            book = stack.enter_context(Notebook.open(address.format(name="ours")))
            sides["ours, PostgreSQL"] = ours(book, all_of_them)
            sides["tsvector alone"] = bare_server(address.format(name="bare"), all_of_them)
        failed = 0
        for query in QUERIES:
            found = {name: set(ask(query, STUDIES)) for name, ask in sides.items()}
            first = found["ours, SQLite"]
            apart = [name for name, there in found.items() if there != first]
            failed += bool(apart)
            print(f"“{query}”: {len(first)} studies, " + (f"but {', '.join(f'{n} {len(found[n])}' for n in apart)}" if apart else "every side the same"))
        spent: dict[str, dict[str, list[float]]] = {name: {q: [] for q in QUERIES} for name in sides}
        for _ in range(ASKED):
            for query in QUERIES:
                for name, ask in sides.items():
                    begun = time.perf_counter()
                    ask(query, SHOWN)
                    spent[name][query].append(1000 * (time.perf_counter() - begun))
    for name, each in spent.items():
        together = sorted(x for v in each.values() for x in v)
        slowest = max(each, key=lambda q: np.median(each[q]))
        p95 = together[int(0.95 * len(together))]
        print(f"{name}: median {np.median(together):.1f} ms, 95th percentile {p95:.1f} ms; slowest “{slowest}” "
              f"{np.median(each[slowest]):.1f} ms")
        failed += name.startswith("ours") and p95 > GOAL_MS
    return int(failed > 0)


if __name__ == "__main__":
    sys.exit(main())
