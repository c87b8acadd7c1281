"""The JSON text that documents are written as: that of the standard library, byte for byte."""

import json
import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from standmark.cli.words.plain_data import document_text

values = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats(allow_nan=False, allow_infinity=False) | st.text(),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(max_size=5), inner, max_size=4),
    max_leaves=20,
)


@settings(max_examples=200, deadline=None)
@given(st.dictionaries(st.text(max_size=5), values, max_size=5))
def test_text_of_a_document_is_what_the_standard_library_writes(document):
    expected = json.dumps(document, ensure_ascii=False, allow_nan=False, indent=1, sort_keys=True)
    assert document_text(document) == expected + "\n"


@pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf])
def test_what_is_not_finite_is_refused(value):
    with pytest.raises(ValueError, match="Out of range float"):
        document_text({"a": [value]})
