"""Runs reference cases: `python -m tests.reference.run [--cases PATH] [--topic NAME]`, a line a failing case and counts per topic."""

import argparse
import json
import math
import sys
from collections import Counter
from pathlib import Path

from tests.reference.adapters import HERE, AtLeast, AtMost, gather

SHARED = HERE.parent.parent.parent / "shared" / "reference"


def default_cases() -> Path:
    """The shared cases where they stand beside the checkout, else the project's own copies."""
    return SHARED if SHARED.is_dir() else HERE / "cases"


def read(path: Path):
    """(file, case) of every JSONL file under a folder, or of one file."""
    for file in [path] if path.is_file() else sorted(path.rglob("*.jsonl")):
        for line in file.read_text(encoding="utf-8").splitlines():
            if line.strip():
                yield file, json.loads(line)


def differs(got, expected, tolerance, keys=()):
    """None when `got` is within tolerance of `expected`, else where and how it differs."""
    where = ".".join(map(str, keys)) or "value"
    if isinstance(expected, dict):
        if not isinstance(got, dict):
            return f"{where}: {got!r} instead of an object"
        for key, want in expected.items():
            if key not in got:
                return f"{where}: no {key!r}"
            if worse := differs(got[key], want, tolerance, (*keys, key)):
                return worse
        return None
    if isinstance(expected, list):
        if isinstance(got, (set, frozenset)):
            return None if got == set(expected) else f"{where}: {sorted(got)} instead of {sorted(expected)}"
        got = list(got) if isinstance(got, (list, tuple)) or hasattr(got, "tolist") else got
        if not isinstance(got, list) or len(got) != len(expected):
            return f"{where}: {got!r} instead of {expected!r}"[:300]
        if expected and all(isinstance(x, str) for x in expected) and "allergen" in "".join(map(str, keys)):
            return None if set(got) == set(expected) else f"{where}: {got} instead of {expected}"
        for i, (g, e) in enumerate(zip(got, expected, strict=True)):
            if worse := differs(g, e, tolerance, (*keys, i)):
                return worse
        return None
    if expected is None or isinstance(expected, (str, bool)):
        if hasattr(got, "item") and isinstance(expected, bool):
            got = got.item()
        return None if got == expected else f"{where}: {got!r} instead of {expected!r}"
    if got is None or isinstance(got, (str, bool)):
        return f"{where}: {got!r} instead of {expected!r}"
    if isinstance(expected, float) and math.isnan(expected):
        return None if math.isnan(got) else f"{where}: {got!r} instead of nan"
    named = tolerance.get("keys", {})
    rule = next((named[str(k)] for k in reversed(keys) if str(k) in named), tolerance)
    allowed = max(rule.get("abs", 0) or 0, (rule.get("rel", 0) or 0) * abs(expected))
    bound = isinstance(got, (AtLeast, AtMost))
    if isinstance(expected, int) and not bound and rule.get("abs") == 0 and not rule.get("rel"):
        return None if got == expected else f"{where}: {got!r} instead of {expected!r}"
    if isinstance(got, AtLeast):
        return None if got >= expected - allowed else f"{where}: {got!r} is less than {expected!r}"
    if isinstance(got, AtMost):
        return None if got <= expected + allowed else f"{where}: {got!r} is more than {expected!r}"
    return None if abs(float(got) - expected) <= allowed else f"{where}: {got!r} instead of {expected!r} (± {allowed:g})"


def check(case, adapters, folder: Path):
    """'pass', 'without adapter', or what went wrong."""
    adapter = adapters.get(case["call"])
    if adapter is None:
        return "without adapter"
    inputs = dict(case["inputs"])
    if isinstance(inputs.get("data"), str) and inputs["data"].endswith(".csv"):
        beside = folder / inputs["data"]
        inputs["data"] = str(beside if beside.exists() else default_cases() / inputs["data"])
    try:
        got = adapter(inputs)
    except Exception as error:  # a failing case must not hide the others
        return f"{type(error).__name__}: {error}"[:200]
    return differs(got, case["expected"], case.get("tolerance") or {"abs": 1e-9, "rel": 1e-9}) or "pass"


def main() -> int:
    """Run, print, and say by the exit code whether any case failed."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--cases", type=Path, default=default_cases())
    parser.add_argument("--topic", action="append")
    options = parser.parse_args()
    adapters, topics, failed = gather(), {}, 0
    for file, case in read(options.cases):
        topic = case.get("topic") or file.stem
        if options.topic and topic not in options.topic and file.stem not in options.topic:
            continue
        outcome = check(case, adapters, file.parent)
        kind = outcome if outcome in ("pass", "without adapter") else "fail"
        topics.setdefault(topic, Counter())[kind] += 1
        if kind == "fail":
            failed += 1
            print(f"{case['id']} {case['call']}: {outcome}")
    for topic, counts in sorted(topics.items()):
        print(f"{topic}: " + ", ".join(f"{n} {kind}" for kind, n in sorted(counts.items())))
    count = sum(topics.values(), Counter())
    n, p, without = sum(count.values()), count["pass"], count["without adapter"]
    print(f"reference: {n} cases, {p} pass, {failed} fail, {without} without adapter")
    return int(failed > 0)


if __name__ == "__main__":
    sys.exit(main())
