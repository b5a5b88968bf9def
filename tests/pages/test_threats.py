"""The page of threats: what it rests on is there."""

from __future__ import annotations

import re
from pathlib import Path

from service.pages.docs.guide import FOLDER

TEXT = (FOLDER / "threats.md").read_text("utf-8")
TESTS = Path(__file__).parents[1]


def test_every_test_that_the_page_names_is_there() -> None:
    """Each file that is said to show something exists and has tests in it."""
    named = set(re.findall(r"`([a-z_/]+/test_\w+\.py)`", TEXT))
    assert len(named) > 20
    empty = [each for each in named if not re.search(r"^def test_", (TESTS / each).read_text("utf-8"), re.M)]
    assert empty == []


def test_every_item_of_the_list_has_its_answer() -> None:
    """API1 to API10, each once and in order."""
    assert re.findall(r"^## .*\((API\d+),", TEXT, re.M) == [f"API{number}" for number in range(1, 11)]
