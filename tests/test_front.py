"""The public face stays itself whatever else is imported."""

import subprocess
import sys

import pytest

BEFORE = "import proofpan.publish.charts, proofpan as pp; assert pp.publish.__module__ == 'proofpan.steps.edition'"
AFTER = "import proofpan as pp; pp.publish; import proofpan.publish.card; from proofpan.publish import charts; assert callable(pp.publish)"


@pytest.mark.parametrize("lines", [BEFORE, AFTER], ids=["asked for after the room", "asked for before the room"])
def test_publish_stays_the_verb_when_the_room_of_that_name_is_imported(lines):
    subprocess.run([sys.executable, "-c", lines], check=True)
