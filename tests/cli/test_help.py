"""Help, version and what is said of a command line that cannot be read."""

from __future__ import annotations

from pathlib import Path

import pytest

from service import __version__
from service.api.spec import load_spec
from tests.cli.command_line import refusal, run

COMMANDS = (
    "serve", "demo", "load", "template", "import", "plan", "takeoff", "order", "verify", "database", "recompute",
)  # fmt: skip


def test_help_lists_every_command(tmp_path: Path) -> None:
    """``--help`` names the commands and exits 0."""
    done = run(tmp_path, "--help")
    listed = [line.split()[0] for line in done.stdout.decode().splitlines() if line.startswith("    ") and line.strip()]
    assert done.returncode == 0
    assert set(COMMANDS) <= set(listed)


@pytest.mark.parametrize("command", COMMANDS)
def test_the_help_of_a_command_has_an_example_of_it(tmp_path: Path, command: str) -> None:
    """Each command's help ends with a line that can be typed as it stands."""
    done = run(tmp_path, command, "--help")
    _, _, examples = done.stdout.decode().partition("\nexample")
    assert done.returncode == 0
    assert f"python -m service {command}" in examples


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        ((), "the following arguments are required: COMMAND"),
        (("splice",), "invalid choice: 'splice'"),
        (("plan",), "the following arguments are required: FILE"),
        (("plan", "x", "--format", "pdf"), "invalid choice: 'pdf'"),
        (("serve", "--port", "0"), "a port is a number from 1 to 65535"),
        (("serve", "--workers", "many"), "from 1 to 64 workers"),
        (("database", "drop"), "invalid choice: 'drop'"),
    ],
)
def test_a_command_line_that_cannot_be_read_is_refused_in_one_line(
    tmp_path: Path, arguments: tuple[str, ...], told: str
) -> None:
    """The line says what is wrong and where help is; the exit code is 2."""
    line = refusal(run(tmp_path, *arguments))
    assert told in line
    assert "--help" in line


def test_the_version_is_the_one_of_the_published_description(tmp_path: Path) -> None:
    """Program and description carry one version, since stored plans name it."""
    done = run(tmp_path, "--version")
    assert done.stdout.decode().split() == ["traywright", __version__]
    assert load_spec().version == __version__
