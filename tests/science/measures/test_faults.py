"""Which lines can't stand in a study."""

import pytest

from proofpan.science.measures.faults import check_line


@pytest.mark.parametrize(
    ("text", "kind"),
    [
        ("250 plain flour", "no unit"),
        ("250 barley flour", "no unit"),
        ("3 glorps salt", "unknown unit"),
        ("250gg flour", "unknown unit"),
        ("-60 g butter", "negative"),
        ("−60 g butter", "negative"),
        ("5000 kg flour", "absurd"),
        ("1/0 cup milk", "no number"),
        ("250 g", "no ingredient"),
        ("4-3 eggs", "range"),
        ("", "empty"),
    ],
)
def test_a_line_that_cant_stand_is_told_in_one_sentence(text, kind):
    fault = check_line(text, "NZ")
    assert fault is not None
    assert fault.kind == kind
    assert len(fault.says) <= 300
    assert "\n" not in fault.says


@pytest.mark.parametrize(
    "text",
    ["3 eggs", "1 onion", "salt to taste", "a handful of parsley", "- 60 g butter", "1 glass water", "2 × 400 ml tins coconut milk",
     "2 red peppers", "12 rice paper rounds", "3 butter beans", "0 g salt", "For the glaze:", "8 oz milk",
     "1 cup jasmine rice", "1 inch ginger"],
)  # fmt: skip
def test_an_ordinary_line_has_no_fault(text):
    assert check_line(text, "UK") is None
