"""Listing catalogue entries."""

from __future__ import annotations

from service.store import AnyRevision, Store
from tests import catalogue_documents as documents


def codes(found: list) -> list[str]:
    return [entry.code for entry in found]


def test_a_list_is_in_the_order_of_codes_whatever_the_database(store: Store) -> None:
    """Codes sort by their bytes: signs and digits, capitals, small letters."""
    given = ["b", "a-1", "A", "a.2", "a_3", "B", "a1", "10", "9"]
    store.put_catalogue({"trays": [documents.tray(code) for code in given]}, AnyRevision())
    assert codes(store.entries("trays")) == sorted(given)
    assert list(store.snapshot().trays) == sorted(given)


def test_a_list_goes_on_from_behind_a_code(store: Store) -> None:
    """Pages of two, without gaps or repeats, even from behind a code that is not there."""
    store.put_catalogue({"trays": [documents.tray(code) for code in "abcde"]}, AnyRevision())
    pages, after = [], None
    while page := codes(store.entries("trays", limit=2, after=after)):
        pages.append(page)
        after = page[-1]
    assert pages == [["a", "b"], ["c", "d"], ["e"]]
    assert codes(store.entries("trays", after="bb")) == ["c", "d", "e"]


def test_a_list_can_leave_out_what_is_retired(store: Store) -> None:
    """Retired ones alone, the others alone, or both."""
    store.put_catalogue({"trays": [documents.tray("a"), documents.tray("b", retired=True)]}, AnyRevision())
    assert codes(store.entries("trays")) == ["a", "b"]
    assert codes(store.entries("trays", retired=True)) == ["b"]
    assert codes(store.entries("trays", retired=False)) == ["a"]


def test_a_list_can_be_searched_by_code_and_title_in_either_case(store: Store) -> None:
    """Letters of any alphabet match in either case and composition; percent and underline mean themselves."""
    trays = [
        documents.tray("r-6", title="Große Ablage"),
        documents.tray("r-7", title="Étagère 50%"),
        documents.tray("x_8", title="Plain"),
    ]
    store.put_catalogue({"trays": trays}, AnyRevision())
    for text, expected in {
        "R-": ["r-6", "r-7"],
        "GROSSE": ["r-6"],
        "éTAGÈRE": ["r-7"],
        "e\u0301tage\u0300re": ["r-7"],
        "%": ["r-7"],
        "_": ["x_8"],
        "": ["r-6", "r-7", "x_8"],
        "nothing": [],
        "a\0": [],
        "\ud800": [],
    }.items():
        assert codes(store.entries("trays", text=text)) == expected, text


def test_sections_are_listed_apart(store: Store) -> None:
    """The same code in two sections is two entries."""
    store.put_catalogue({"trays": [documents.tray("x")], "sleeves": [documents.sleeve("x")]}, AnyRevision())
    assert [entry.document["title"] for entry in store.entries("trays")] == ["Tray of six"]
    assert [entry.document["title"] for entry in store.entries("sleeves")] == ["Ribbon sleeve 12"]
