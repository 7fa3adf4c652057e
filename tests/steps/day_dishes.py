"""Invented dishes, written as a kitchen would: a slow loaf, a brined roast, a jar of three weeks, a pot of hot oil, a day with a camera.

Their minutes, salt and temperatures are common practice, no source.
"""

from pathlib import Path

from proofpan.study.study import Study

FOLDER = Path(__file__).parent / "dishes"


def dish(name: str) -> Study:
    """One of them: loaf, roast, jar, fry or film."""
    return Study.load(FOLDER / f"{name}.yaml")
