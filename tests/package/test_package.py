"""The package: it is whole, it works away from the tree, and it says which version it is everywhere."""

from __future__ import annotations

import importlib.metadata
import os
import re
import subprocess
import sys
import tarfile
import tomllib
import zipfile
from pathlib import Path

from service import __version__
from service.api.spec import load_spec
from tests.package.conftest import ROOT, build

_LEFT_OUT = {".pyc"}


def _names(wheel: Path) -> set[str]:
    with zipfile.ZipFile(wheel) as opened:
        return {name for name in opened.namelist() if not name.endswith("/RECORD")}


def _run(installed: Path, folder: Path, *arguments: str) -> subprocess.CompletedProcess[bytes]:
    """Run the installed package in a folder outside of the tree, and with nothing of the tree on the path."""
    kept = {name: value for name, value in os.environ.items() if not name.startswith("TRAYWRIGHT_")}
    given = {**kept, "PYTHONPATH": str(installed), "PYTHONIOENCODING": "utf-8"}
    return subprocess.run(
        [sys.executable, *arguments], cwd=folder, env=given, capture_output=True, timeout=180, check=False
    )


def test_every_file_of_the_service_is_in_the_wheel(built: Path) -> None:
    """Templates, styles, fonts, migrations and guides beside the code, the description and the demo inside it."""
    (wheel,) = built.glob("*.whl")
    files = {path for path in (ROOT / "service").rglob("*") if path.is_file() and path.suffix not in _LEFT_OUT}
    names = _names(wheel)
    assert {str(path.relative_to(ROOT)) for path in files} <= names
    assert {"service/openapi.yaml", "service/demo/catalogue.json", "service/demo/splice-points.ndjson"} <= names
    assert any(name.endswith("/licenses/LICENSE") for name in names)
    assert not [name for name in names if not name.startswith(("service/", "traywright-"))]


def test_the_source_distribution_builds_the_same_wheel(built: Path, tmp_path: Path) -> None:
    """Who has the sources alone can build, test and run all of it."""
    (archive,) = built.glob("*.tar.gz")
    with tarfile.open(archive) as opened:
        opened.extractall(tmp_path, filter="data")
    (tree,) = tmp_path.iterdir()
    needed = {"README.md", "DEVELOPERS.md", "LICENSE", "Dockerfile", "openapi.yaml", "demo/README.md"}
    assert {name for name in needed if not (tree / name).is_file()} == set()
    build(tree, tmp_path / "again", "wheel")
    (again,) = (tmp_path / "again").glob("*.whl")
    (wheel,) = built.glob("*.whl")
    assert _names(again) == _names(wheel)


def test_the_installed_package_plans_the_demo_away_from_the_tree(installed: Path, tmp_path: Path) -> None:
    """It migrates a database, plans forty splice points and shows them; the code that runs is the installed one."""
    where = _run(installed, tmp_path, "-c", "import service; print(service.__file__)")
    assert Path(where.stdout.decode().strip()).is_relative_to(installed)
    done = _run(installed, tmp_path, "-m", "service", "demo")
    assert done.returncode == 0, done.stderr.decode()
    assert b"Planned and stored in" in done.stdout
    shown = _run(installed, tmp_path, "-m", "service", "database", "show", "--database", "demo.sqlite3")
    assert shown.stdout.decode().splitlines()[1:] == ["catalogue revision 1", "plans 40"]


def test_the_installed_package_serves_description_and_pages(installed: Path, tmp_path: Path) -> None:
    """The description is the tree's byte for byte, and a page finds its templates and its style."""
    code = """
import sys
from service.app import create_app
from service.settings import Settings
from service.store import open_store
store = open_store("sqlite:///served.db")
store.upgrade()
client = create_app(Settings(), store).test_client()
assert client.get("/").status_code == 200
assert client.get("/fit").status_code == 200
assert client.get("/healthz").get_json()["version"]
sys.stdout.buffer.write(client.get("/openapi.yaml").data)
"""
    done = _run(installed, tmp_path, "-c", code)
    assert done.returncode == 0, done.stderr.decode()
    assert done.stdout == (ROOT / "openapi.yaml").read_bytes()


def test_one_version_is_told_everywhere(installed: Path) -> None:
    """In the package, its metadata, the description, and as the newest of the changes."""
    (told,) = importlib.metadata.distributions(path=[str(installed)])
    project = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["project"]
    newest = re.search(r"^## (\S+)", (ROOT / "service" / "CHANGELOG.md").read_text("utf-8"), re.MULTILINE)
    assert newest is not None
    assert {told.version, project["version"], newest[1], load_spec().version} == {__version__}
    assert told.metadata["License-Expression"] == "MIT"
    assert told.metadata["Name"] == "traywright"
