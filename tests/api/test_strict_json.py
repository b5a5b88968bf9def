"""Strict reading of JSON: what two readers could understand differently is refused."""

from __future__ import annotations

import json
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from service.api.strict_json import LARGEST_WHOLE, MalformedJson, read_json


@pytest.mark.parametrize(
    ("body", "code"),
    [
        (b"", "empty"),
        (b" \n", "empty"),
        (b"\xef\xbb\xbf{}", "byte_order_mark"),
        ('{"a": 1}'.encode("utf-16"), "encoding"),
        (b'{"a": "\xff"}', "encoding"),
        (b'{"a": "\xed\xa0\x80"}', "encoding"),
        (b'{"a": "\\ud800"}', "surrogate"),
        (b'{"\\udfff": 1}', "surrogate"),
        (b'["\\ud83d x \\ude00"]', "surrogate"),
        (b'{"a": NaN}', "number"),
        (b"[Infinity]", "number"),
        (b"[-Infinity]", "number"),
        (b"[1e400]", "number"),
        (b"[-1e309]", "number"),
        (b"[9007199254740992]", "number"),
        (b"[-9007199254740992]", "number"),
        (b"[" + b"9" * 5000 + b"]", "number"),
        (b'{"a": 1, "a": 1}', "duplicate_name"),
        (b'{"a": {"b": 1, "c": 2, "b": 3}}', "duplicate_name"),
        (b'{"a": 1, "\\u0061": 2}', "duplicate_name"),
        (b'{"\\ud800": 1, "\\ud800": 2}', "duplicate_name"),
        (b"{", "syntax"),
        (b"{} {}", "syntax"),
        (b"[1,]", "syntax"),
        (b"[01]", "syntax"),
        (b"[1.]", "syntax"),
        (b"[+1]", "syntax"),
        (b"['a']", "syntax"),
        (b'["a\nb"]', "syntax"),
        (b"[1] // a", "syntax"),
        (b"[" * 65 + b"]" * 65, "depth"),
        (b'{"a":' * 65 + b"1" + b"}" * 65, "depth"),
        (b"[" * 100_000, "depth"),
        (b"[" * 100_000 + b"]" * 100_000, "depth"),
        (b'{"a":' * 100_000, "depth"),
        (b'["]]]]",' + b"[" * 64 + b"]" * 64 + b"]", "depth"),
    ],
)  # fmt: skip
def test_a_body_that_readers_could_read_differently_is_refused(body: bytes, code: str) -> None:
    """Each is refused with a code that says why, and a sentence for people."""
    with pytest.raises(MalformedJson) as refusal:
        read_json(body)
    assert refusal.value.code == code
    assert str(refusal.value).endswith(".")
    str(refusal.value).encode("utf-8")


def test_a_body_of_the_deepest_level_allowed_is_read() -> None:
    """64 levels pass, and brackets in texts are no levels."""
    assert read_json(b"[" * 64 + b"]" * 64) is not None
    assert read_json(b'["' + b"[" * 100 + b'"]') == ["[" * 100]
    assert read_json(b'{"a":[]}', depth=2) == {"a": []}


@pytest.mark.parametrize("text", ["12", "12.0", "1.2e1", "120e-1", "12.000"])
def test_numbers_of_equal_value_are_read_as_one(text: str) -> None:
    """However it is written, twelve is the integer twelve, so that a plan made from it is the same to the byte."""
    value = read_json(f"[{text}]".encode())[0]
    assert value == 12
    assert type(value) is int


def test_the_largest_whole_number_is_kept_exactly() -> None:
    """Up to 2^53 - 1 every reader keeps a whole number, beyond it not every one does."""
    assert read_json(f"[{LARGEST_WHOLE}, -{LARGEST_WHOLE}]".encode()) == [LARGEST_WHOLE, -LARGEST_WHOLE]
    assert read_json(b"[1e300]") == [1e300]


def test_a_pair_of_surrogates_is_one_character() -> None:
    """An escaped pair is a character beyond the basic plane, and passes."""
    assert read_json(b'["\\ud83d\\ude00"]') == ["\U0001f600"]


NUMBERS = st.integers(-LARGEST_WHOLE, LARGEST_WHOLE) | st.floats(allow_nan=False, allow_infinity=False)
TEXTS = st.text(st.characters(exclude_categories=["Cs"]), max_size=20)
DOCUMENTS = st.recursive(
    st.none() | st.booleans() | NUMBERS | TEXTS,
    lambda inner: st.lists(inner) | st.dictionaries(TEXTS, inner),
    max_leaves=20,
)


@settings(max_examples=300, deadline=None, database=None, derandomize=True)
@given(document=DOCUMENTS, escaped=st.booleans())
def test_every_document_is_read_as_the_standard_library_reads_it(document: Any, escaped: bool) -> None:
    """Whatever is JSON in the strict sense is read to the same value, escaped or not."""
    body = json.dumps(document, ensure_ascii=escaped).encode()
    assert read_json(body) == json.loads(body)


@settings(max_examples=500, deadline=None, database=None, derandomize=True)
@given(
    body=st.binary(max_size=60)
    | st.text(alphabet='{}[]",:0123456789.eE+-\\u dD8nulltrefas', max_size=60).map(str.encode)
)
def test_no_bytes_make_reading_fail_otherwise(body: bytes) -> None:
    """Any bytes are read or refused, and what is read can be written again."""
    try:
        value = read_json(body)
    except MalformedJson:
        return
    json.dumps(value, allow_nan=False).encode()
