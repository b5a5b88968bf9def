"""The README's commands are there, one line each, and are the ones that CI runs."""

from __future__ import annotations

import re
import shlex
from pathlib import Path

import pytest

from service.cli.arguments import parser

ROOT = Path(__file__).parents[2]
README = (ROOT / "README.md").read_text("utf-8")
SET_UP = re.findall(r"^python3 -m venv .*$", README, re.MULTILINE)


def test_two_commands_do_everything_from_nothing() -> None:
    """Exactly two lines set up an environment of their own: one shows the demo, one runs the tests."""
    assert [line.split(" && ")[:2] for line in SET_UP] == [
        ["python3 -m venv .venv", ".venv/bin/pip install -q ."],
        ["python3 -m venv .venv", ".venv/bin/pip install -q '.[test]'"],
    ]
    assert SET_UP[0].endswith(" -m service demo")
    assert " -m pytest" in SET_UP[1]


def test_ci_runs_the_readmes_own_test_command() -> None:
    """CI takes the line from the README, finds one, and requires PostgreSQL while it runs."""
    script = (ROOT / ".ci" / "run").read_text("utf-8")
    assert "grep -F \"'.[test]'\" README.md | head -n 1" in script
    assert next(line for line in README.splitlines() if "'.[test]'" in line) == SET_UP[1]
    assert "export TRAYWRIGHT_REQUIRE_POSTGRES=1" in script


@pytest.mark.parametrize("page", ["README.md", "DEVELOPERS.md", "demo/README.md", "demo/second-visit.md"])
def test_every_command_line_on_a_page_can_be_read(page: str) -> None:
    """Each ``-m service`` line in a code block is one that the parser takes."""
    blocks = re.findall(r"^```sh\n(.*?)^```", (ROOT / page).read_text("utf-8"), re.MULTILINE | re.DOTALL)
    lines = [line for block in blocks for line in block.splitlines() if " -m service " in line]
    assert lines or page == "DEVELOPERS.md"
    for line in lines:
        arguments = shlex.split(line.split(" -m service ")[1], comments=True)
        if "--help" not in arguments:
            assert parser().parse_args(arguments).command in arguments


@pytest.mark.parametrize("page", ["README.md", "DEVELOPERS.md", "demo/README.md", "demo/second-visit.md"])
def test_every_file_that_a_page_points_at_is_there(page: str) -> None:
    """Links and named paths lead somewhere."""
    text = (ROOT / page).read_text("utf-8")
    linked = re.findall(r"\]\(([^):#]+)\)", text)
    for name in linked:
        assert (ROOT / page).parent.joinpath(name).exists(), name
    for name in re.findall(r"`((?:demo|service|tests|\.ci)/[\w./-]+)`", text):
        assert (ROOT / name).exists(), name
