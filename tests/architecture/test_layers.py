"""The house keeps its shape: imports run one way, modules are small, names say what they hold, tests state claims."""

from __future__ import annotations

import ast
import subprocess
import sys
from pathlib import Path
from statistics import median

import pytest

ROOT = Path(__file__).parents[2]
MODULES = sorted((ROOT / "service").rglob("*.py"))
TESTS = sorted((ROOT / "tests").rglob("test_*.py"))


def _lines(path: Path) -> int:
    return len(path.read_text("utf-8").splitlines())


def test_imports_run_one_way() -> None:
    """The contracts of pyproject.toml hold: layers, and who may know HTTP, SQL and third-party libraries."""
    command = "from importlinter.cli import lint_imports_command; lint_imports_command(['--no-cache'])"
    done = subprocess.run([sys.executable, "-c", command], cwd=ROOT, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout + done.stderr
    assert "0 broken" in done.stdout


def test_every_room_of_the_house_is_under_a_contract() -> None:
    """A package or module added at the top of ``service`` has a layer, so that the contract cannot be walked around."""
    settings = (ROOT / "pyproject.toml").read_text("utf-8")
    rooms = {path.stem for path in (ROOT / "service").iterdir() if path.is_dir() or path.suffix == ".py"}
    unlisted = {room for room in rooms - {"__init__", "__pycache__"} if f"service.{room}" not in settings}
    assert unlisted == set()


def test_modules_are_one_thing_each() -> None:
    """Median at most 90 lines, nine in ten under 260, none over 500."""
    sizes = sorted(_lines(path) for path in MODULES if path.name != "__init__.py")
    assert median(sizes) <= 90
    assert sizes[int(len(sizes) * 0.9)] < 260
    assert sizes[-1] <= 500


def test_no_name_is_a_drawer_for_anything() -> None:
    """A module's name says what it holds."""
    drawers = {"utils", "util", "helpers", "helper", "manager", "managers", "base", "common", "misc"}
    assert [path for path in MODULES if path.stem in drawers or path.parent.name in drawers] == []


@pytest.mark.parametrize("path", TESTS, ids=lambda path: str(path.relative_to(ROOT)))
def test_every_test_states_its_claim(path: Path) -> None:
    """Each test function has a docstring, and each test module says what it is about."""
    tree = ast.parse(path.read_text("utf-8"))
    functions = [node for node in ast.walk(tree) if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef)]
    silent = [node.name for node in functions if node.name.startswith("test_") and not ast.get_docstring(node)]
    assert ast.get_docstring(tree)
    assert silent == []
