"""Three invented dishes of several days, written as a kitchen would: a slow loaf, a brined roast, a jar of three weeks.

Their minutes, salt and temperatures are common practice, no source.
"""

from pathlib import Path

from proofpan.study.study import Study

FOLDER = Path(__file__).parent / "dishes"


def dish(name: str) -> Study:
    """One of the three: loaf, roast or jar."""
    return Study.load(FOLDER / f"{name}.yaml")
