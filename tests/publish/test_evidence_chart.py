"""An option over several studies, drawn."""

import re

from proofpan.publish.evidence_chart import evidence_chart

STUDIES = (("Dip <1>", 0.4, -0.2, 1.0), ("A very long name of a very long study", -0.3, -1.0, 0.4))


def test_each_study_and_what_they_say_together_stand_on_one_rule():
    drawn = evidence_chart("malt", STUDIES, ("together", 0.1, -0.3, 0.5))
    middles = [float(x) for x in re.findall(r'<circle cx="([\d.]+)"', drawn)]
    assert len(middles) == 3 and middles[1] < middles[2] < middles[0]
    assert "Dip &lt;1&gt;" in drawn and "Dip <1>" not in drawn
    assert "A very long name of a v…" in drawn and "together +0.1 (−0.3 to +0.5)" in drawn


def test_one_study_has_no_line_of_its_own_for_all_together_and_none_has_no_chart():
    assert evidence_chart("malt", STUDIES[:1], None).count("<circle") == 1
    assert evidence_chart("malt", (), None) == ""
