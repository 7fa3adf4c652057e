"""Reading files: plain values with the line of each, slips in one sentence."""

import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from proofpan.study.errors import StudyError
from proofpan.study.source import parse_source, read_source
from proofpan.study.writing import to_yaml


@pytest.mark.parametrize("text, value", [
    # YAML 1.2.2, section 10.3.2, core schema: the tag resolution table and its examples
    ("NO", "NO"), ("yes", "yes"), ("off", "off"), ("1:30", "1:30"), ("true", True), ("False", False), ("null", None), ("~", None),
    ("0o14", 12), ("0x3A", 58), ("-19", -19), ("12e03", 12000.0), ("-2E+05", -200000.0), (".5", 0.5), ("012", 12), ("0.", 0.0),
])
def test_plain_words_mean_what_the_core_schema_says(text, value):
    assert parse_source(f"a: {text}").value["a"] == value


def test_every_value_knows_its_line():
    source = parse_source("a: 1\nb:\n  - x\n  - {c: 2,\n     d: 3}\n")
    assert source.line(("b", 1, "d")) == 5
    assert source.line(("b", 0)) == 3
    assert source.line(("b", 1, "not there")) == 4


def test_toml_values_know_their_lines_too():
    text = 'a = 1\n[[b]]\nx = "q"\n[[b]]\nx = [1,\n 2]\n[b.c]\ny = {z = 1}\n'
    source = parse_source(text, toml=True)
    assert source.value == {"a": 1, "b": [{"x": "q"}, {"x": [1, 2], "c": {"y": {"z": 1}}}]}
    assert source.line(("b", 0, "x")) == 3
    assert source.line(("b", 1, "x", 1)) == 6
    assert source.line(("b", 1, "c", "y", "z")) == 8


@pytest.mark.parametrize("text, words", [
    ("a: 1\na: 2", "stands twice"), ("a: *b", "alias"), ("a: !!python/x 1", "tag"), ("a: 1\n---\na: 2", "second document"),
    ("a:\n\tb: 1", "tab"), ('a: "b', "never closed"), ("a: b: c", "quotes"), ("a: [" + "[" * 90, "nested"), ("", "empty"),
    ("- a", "list"), ("a: \x01", "control character"),
])
def test_a_slip_is_one_sentence(text, words):
    with pytest.raises(StudyError, match=re.escape(words)) as caught:
        parse_source(text, "study.yaml")
    assert len(str(caught.value)) <= 300
    assert "\n" not in str(caught.value)


def test_a_file_that_is_not_there_is_said(tmp_path):
    with pytest.raises(StudyError, match="There is no file nowhere.yaml"):
        read_source(tmp_path / "nowhere.yaml")


def test_a_huge_file_is_refused_before_it_is_read(tmp_path):
    path = tmp_path / "big.yaml"
    path.write_bytes(b"a: 1\n" * 300_000)
    with pytest.raises(StudyError, match="too large"):
        read_source(path)


words = st.text(st.characters(codec="utf-8", exclude_categories=("Cc", "Cs")), min_size=1, max_size=30)
values = st.recursive(
    st.one_of(words, st.integers(-10**6, 10**6), st.booleans(), st.floats(-1e6, 1e6).filter(lambda x: x != int(x))),
    lambda inner: st.one_of(st.lists(inner, max_size=4), st.dictionaries(words, inner, max_size=4)), max_leaves=12,
)


@settings(deadline=None, max_examples=150)
@given(st.dictionaries(words, values, min_size=1, max_size=4))
def test_what_is_written_reads_back(value):
    assert parse_source(to_yaml(value)).value == value


@settings(deadline=None, max_examples=300)
@given(st.text(max_size=200))
def test_any_text_is_read_or_refused_in_a_sentence(text):
    for toml in (False, True):
        try:
            parse_source(text, "study.yaml", toml=toml)
        except StudyError as error:
            assert 0 < len(str(error)) <= 300
