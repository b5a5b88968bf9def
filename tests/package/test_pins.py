"""The list of exact versions that an image is built with and an audit looks up."""

from __future__ import annotations

import importlib.util
import re
import stat
from pathlib import Path
from types import ModuleType

import pytest
from packaging.utils import canonicalize_name

from tests.package.conftest import ROOT


@pytest.fixture(scope="module")
def pins() -> ModuleType:
    """The script that writes the list."""
    found = importlib.util.spec_from_file_location("pins", ROOT / ".ci" / "pins.py")
    assert found is not None and found.loader is not None
    module = importlib.util.module_from_spec(found)
    found.loader.exec_module(module)
    return module


def test_everything_that_is_asked_for_is_pinned_within_its_range(pins: ModuleType) -> None:
    """A dependency added, or a range moved, without a new list is found here."""
    kept = pins.pinned()
    for asked in pins.declared():
        assert kept.get(canonicalize_name(asked.name)) in asked.specifier, asked
    assert all(re.fullmatch(r"[0-9][0-9A-Za-z.+!]*", version) for version in kept.values())


def test_what_is_asked_for_at_second_hand_is_pinned_too(pins: ModuleType) -> None:
    """What the libraries stand on has versions as well, and they are found in this environment."""
    second = {"werkzeug", "markupsafe", "click", "mako", "itsdangerous", "typing-extensions"}
    assert second <= set(pins.pinned())
    assert second <= set(pins.installed())


def test_the_list_says_of_which_day_it_is_and_the_image_is_built_with_it() -> None:
    """Otherwise nobody could tell how old it is."""
    head = (ROOT / ".ci" / "constraints.txt").read_text("utf-8").splitlines()[0]
    assert re.search(r"on 20\d\d-\d\d-\d\d with Python 3\.\d+", head)
    assert "--constraint constraints.txt" in (ROOT / "Dockerfile").read_text("utf-8")


def test_an_audit_takes_nothing_for_looked_up_that_was_not() -> None:
    """It can be run, goes by the list, and is strict."""
    audit = ROOT / ".ci" / "audit"
    assert Path(audit).stat().st_mode & stat.S_IXUSR
    (command,) = [line for line in audit.read_text("utf-8").splitlines() if line.startswith("exec ")]
    assert "--strict" in command and "--requirement .ci/constraints.txt" in command
