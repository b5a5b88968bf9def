"""Regular expressions: no text makes a matcher go back and forth for ever."""

from __future__ import annotations

import ast
import gc
import importlib
import pkgutil
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

import service
from service.api.fields import Text
from service.api.spec import load_spec
from service.building import placeholders
from tests.architecture.ambiguity import automaton, growth, looked_for

ROOT = Path(service.__file__).parent
HELD = (ast.Assign, ast.AnnAssign)


def described() -> Iterator[tuple[str, str]]:
    """Every pattern of the description with its place."""

    def walk(node: Any, place: str) -> Iterator[tuple[str, str]]:
        if isinstance(node, dict):
            if isinstance(node.get("pattern"), str):
                yield place, node["pattern"]
            for name, each in node.items():
                if name not in ("examples", "example"):
                    yield from walk(each, f"{place}/{name}")
        elif isinstance(node, list):
            for number, each in enumerate(node):
                yield from walk(each, f"{place}/{number}")

    yield from walk(load_spec().document, "")


def compiled() -> Iterator[tuple[str, re.Pattern[str] | re.Pattern[bytes]]]:
    """Every compiled pattern that a module of the service holds, in a table too."""

    def within(value: Any) -> Iterator[re.Pattern[Any]]:
        if isinstance(value, re.Pattern):
            yield value
        elif isinstance(value, dict):
            yield from within([*value, *value.values()])
        elif isinstance(value, list | tuple | set | frozenset):
            for each in value:
                yield from within(each)

    for found in pkgutil.walk_packages([str(ROOT)], "service."):
        if ".migrations." in found.name or found.name.endswith("__main__"):
            continue
        module = importlib.import_module(found.name)
        for name, value in vars(module).items():
            for number, pattern in enumerate(within(value)):
                yield f"{found.name}.{name}[{number}]", pattern
    # The fields of the schemas, all of which are made when their modules are read.
    for each in gc.get_objects():
        if isinstance(each, Text) and each.pattern is not None:
            yield f"field of {each.pattern.pattern}", each.pattern
    for first in ("⸢1⸣", "⸢⸢⸢20⸣"):
        found_by = placeholders.pattern([first])
        assert found_by is not None
        yield f"service.building.placeholders of {first}", found_by


def called() -> Iterator[tuple[str, ast.Call]]:
    """Every call of a function of ``re`` in the service, with its place."""
    for path in sorted(ROOT.rglob("*.py")):
        for node in calls(ast.parse(path.read_text("utf-8"))):
            yield f"{path.relative_to(ROOT)}:{node.lineno}", node


def calls(tree: ast.AST) -> Iterator[ast.Call]:
    """The calls of functions of ``re`` that take a pattern."""
    for node in ast.walk(tree):
        if (
            isinstance(node, ast.Call)
            and isinstance(node.func, ast.Attribute)
            and isinstance(node.func.value, ast.Name)
            and node.func.value.id == "re"
            and node.func.attr != "escape"
        ):
            yield node


DESCRIBED = sorted({pattern: place for place, pattern in described()}.items())
COMPILED = {pattern: place for place, pattern in compiled()}
INLINE = [
    (place, node.args[0].value)
    for place, node in called()
    if node.func.attr != "compile" and isinstance(node.args[0], ast.Constant)  # type: ignore[attr-defined]
]


@pytest.mark.parametrize(
    ("pattern", "expected", "pumped"),
    [
        (r"^(a+)+$", "exponential", "a"),
        (r"^(a*)*$", "exponential", "a"),
        (r"^(a|a)*$", "exponential", "a"),
        (r"^(a|ab|b)*$", "exponential", "ab"),
        (r"^(a?b?)*$", "exponential", "ab"),
        (r"^([a-z]+,?)*$", "exponential", "a"),
        (r"^(\w|\d\d?)+!", "exponential", "1"),
        (r"^(?i:ab|AB)*$", "exponential", "ab"),
        (r"^(.|\n|é\s)*$", "exponential", "é "),
        (r"^a*a*$", "polynomial", "a"),
        (r"^[a-z]+[a-z0-9]*$", "polynomial", "a"),
        (r"^.*,.*$", "polynomial", ","),
        (r"^\s*(\S+\s*)?\s*$", "polynomial", " "),
        (r"^[a-z]+(-[a-z]+)*$", "bounded", "a-"),
        (r"^[0-9]{1,9}(\.[0-9]+)?$", "bounded", "1"),
        (r"^(a|b)*c$", "bounded", "ab"),
        (r"^(?=a+)b*$", "bounded", "b"),
    ],
)
def test_the_measure_tells_good_patterns_from_bad_ones(pattern: str, expected: str, pumped: str) -> None:
    """Textbook cases of each kind, and the ways through a text that is repeated grow as was said of them."""
    made = automaton(pattern)
    assert growth(made) == expected
    few, many, more = (made.paths(pumped * times) for times in (8, 16, 32))
    if expected == "exponential":
        assert many >= few * 2**8 // 2 and more >= many * 2**8
    elif expected == "polynomial":
        assert few < many < more <= 32**4
    else:
        assert few == many == more


@pytest.mark.parametrize(("pattern", "place"), DESCRIBED, ids=[place for _, place in DESCRIBED])
def test_described_patterns_have_a_bounded_number_of_ways(pattern: str, place: str) -> None:
    """Clients check them with matchers that go back; each is held to the beginning, so there is one place to begin."""
    assert pattern.startswith("^"), place
    assert {growth(made) for made in looked_for(pattern)} == {"bounded"}


@pytest.mark.parametrize("pattern", COMPILED, ids=COMPILED.values())
def test_patterns_of_the_service_have_a_bounded_number_of_ways(pattern: re.Pattern[Any]) -> None:
    """Beginning at any one place of a text, however long, there are never more than a fixed number of ways."""
    text = pattern.pattern if isinstance(pattern.pattern, str) else pattern.pattern.decode("latin-1")
    assert {growth(made) for made in looked_for(text, pattern.flags & ~re.UNICODE)} == {"bounded"}


@pytest.mark.parametrize(("place", "pattern"), INLINE, ids=[place for place, _ in INLINE])
def test_patterns_within_a_call_have_a_bounded_number_of_ways(place: str, pattern: str) -> None:
    """Those that are not compiled at the top of their module, likewise."""
    assert {growth(made) for made in looked_for(pattern)} == {"bounded"}


def test_no_pattern_escapes_the_measure() -> None:
    """Each is compiled at the top of a module or by one of two that are looked into, or stands in its call as it is."""
    assert len(DESCRIBED) > 20 and len(COMPILED) > 20
    for path in sorted(ROOT.rglob("*.py")):
        tree = ast.parse(path.read_text("utf-8"))
        at_the_top = {id(node) for each in tree.body if isinstance(each, HELD) for node in ast.walk(each)}
        for call in calls(tree):
            if call.func.attr != "compile":  # type: ignore[attr-defined]
                assert isinstance(call.args[0], ast.Constant), path
            elif path.name not in ("fields.py", "placeholders.py"):
                assert id(call) in at_the_top, path
