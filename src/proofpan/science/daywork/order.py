"""What comes before what."""

from collections.abc import Iterable

from proofpan.science.daywork.task import Task


def ancestors(tasks: Iterable[Task]) -> dict[str, frozenset[str]]:
    """Every task's earlier tasks, however far back (links from a task's end only)."""
    links = {t.key: [a.task for a in t.after if a.of == "end" and a.min_wait >= 0] for t in tasks}
    found: dict[str, frozenset[str]] = {}

    def reach(key: str) -> frozenset[str]:
        if key not in found:
            found[key] = frozenset(links[key]).union(*(reach(k) for k in links[key]))
        return found[key]

    for key in links:
        reach(key)
    return found
