"""Which media type an answer has, by Accept."""

from __future__ import annotations

import pytest

from service.api.negotiation import chosen

JSON = "application/json"
CSV = "text/csv"


@pytest.mark.parametrize(
    ("accept", "expected"),
    [
        (None, JSON),
        ("", JSON),
        ("*/*", JSON),
        ("text/csv", CSV),
        ("text/*", CSV),
        ("TEXT/CSV", CSV),
        ("text/csv;header=present", CSV),
        ("application/json;q=0.5, text/csv", CSV),
        ("application/json;q=0.5, text/csv;q=0.5", JSON),
        ("text/csv;q=0.1, */*;q=0.2", JSON),
        ("*/*, application/json;q=0", CSV),
        ("application/*;q=0.2, application/json;q=0.1, text/csv;q=0.15", CSV),
        ("text/html,application/xhtml+xml,*/*;q=0.8", JSON),
        ("image/png", None),
        ("application/json;q=0", None),
        ("application/problem+json", None),
        ("nonsense", JSON),
        ("*/json, text/csv", CSV),
        ("application/json;q=much", None),
    ],
)
def test_the_media_type_is_the_one_liked_best(accept: str | None, expected: str | None) -> None:
    """The narrowest range that names a type gives its quality; the first offered wins among equals."""
    assert chosen(accept, (JSON, CSV)) == expected


def test_a_long_header_is_read_in_no_time() -> None:
    """A header that is made to be hard to read costs no more than its length."""
    assert chosen("a" * 50_000 + "/;" * 50_000 + ",", (JSON,)) == JSON
