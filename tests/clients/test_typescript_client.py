"""A TypeScript client whose types are made from the description alone compiles strictly and drives the server."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
from pathlib import Path

import pytest

from tests.clients.conftest import HERE, SPEC, tool
from tests.clients.stories import CATALOGUE, DROP, FERROW, MEASURED, POINTS, faulty


def ran(folder: Path, *command: str) -> str:
    """What a command printed; the test fails with all of it where the command does."""
    done = subprocess.run(command, cwd=folder, capture_output=True, text=True, timeout=300, check=False)
    assert done.returncode == 0, done.stdout + done.stderr
    return done.stdout


@pytest.fixture(scope="module")
def story(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The folder of the compiled story, beside the packages that it needs."""
    node, npm = tool("node"), tool("npm")
    folder = tmp_path_factory.mktemp("typescript-client")
    for name in ("package.json", "tsconfig.json", "story.ts"):
        shutil.copy(HERE / "typescript" / name, folder)
    install = [npm, "install", "--no-audit", "--no-fund", "--prefer-offline"]
    done = subprocess.run(install, cwd=folder, capture_output=True, text=True, timeout=300, check=False)
    if done.returncode and not os.environ.get("TRAYWRIGHT_REQUIRE_NODE"):
        pytest.skip("the packages of the TypeScript client cannot be fetched")
    assert done.returncode == 0, done.stdout + done.stderr
    modules = folder / "node_modules"
    # A member with a default may be left out of what is sent.
    generate = [str(modules / "openapi-typescript" / "bin" / "cli.js"), "--default-non-nullable", "false"]
    ran(folder, node, *generate, str(SPEC), "-o", "api.d.ts")
    ran(folder, node, str(modules / "typescript" / "bin" / "tsc"))
    return folder


def test_every_users_story_is_told_in_typescript(story: Path, address: str) -> None:
    """Catalogue, check, plan, takeoff, order, hung closure, and the errors, with types that tsc --strict accepts."""
    request, pointers = faulty()
    what = {"catalogue": CATALOGUE, "points": POINTS, "ferrow": FERROW, "drop": DROP, "measured": MEASURED}
    (story / "sent.json").write_text(json.dumps({**what, "faulty": request, "pointers": pointers}), "utf-8")
    assert ran(story, tool("node"), "built/story.js", address, "sent.json") == "done\n"
