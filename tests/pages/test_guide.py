"""Every command and request of the guide is run as it stands, and prints what the guide says that it prints."""

from __future__ import annotations

import re
import shutil
import subprocess
import sys
import time
import urllib.error
import urllib.request
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest

from service.pages.docs.guide import CHAPTERS, Chapter
from tests.api.live_server import free_port
from tests.cli.command_line import ROOT, environment
from tests.store.kept import unpacked

BLOCK = re.compile(r"^```(\w*)\n(.*?)^```$", re.MULTILINE | re.DOTALL)
SERVE = ".venv/bin/python -m service demo --serve --port 8080"
MARK = "@@ block "
NOT_TRIED = re.compile(r"\.venv/bin/pip |--serve | serve ", re.MULTILINE)


def blocks(chapter: Chapter) -> list[tuple[str, str]]:
    """The blocks of code of a page: what kind, and what stands in them."""
    return BLOCK.findall(chapter.text)


def folder_of_a_reader(folder: Path) -> None:
    """What a reader has: the demo's files, an environment in ``.venv``, and a database of the version before."""
    shutil.copytree(ROOT / "demo", folder / "demo")
    unpacked(folder / "build.db")
    python = folder / ".venv" / "bin" / "python"
    python.parent.mkdir(parents=True)
    python.write_text(f'#!/bin/sh\nexec {sys.executable} "$@"\n', "utf-8")
    python.chmod(0o755)


@dataclass(frozen=True, slots=True)
class Served:
    """The server that the guide begins with: its port, and the file that it keeps its plans in."""

    port: int
    database: Path


@pytest.fixture(scope="module")
def served(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    """The demo, served on a port of these tests."""
    folder, port = tmp_path_factory.mktemp("guide"), free_port()
    command = SERVE.replace("8080", str(port)).replace(".venv/bin/python", sys.executable).split()
    with open(folder / "server.txt", "wb") as said:
        # The page about webhooks has one on this machine.
        allowing = {"TRAYWRIGHT_WEBHOOK_PRIVATE": "127.0.0.0/8"}
        server = subprocess.Popen(command, cwd=folder, env={**environment(), **allowing}, stdout=said, stderr=said)
    try:
        for _ in range(600):
            try:
                urllib.request.urlopen(f"http://127.0.0.1:{port}/readyz", timeout=2).close()
                break
            except (urllib.error.URLError, ConnectionError):
                assert server.poll() is None, (folder / "server.txt").read_text("utf-8")
                time.sleep(0.1)
        yield Served(port, folder / "demo.sqlite3")
    finally:
        server.terminate()
        server.wait(30)


def script_of(chapter: Chapter, port: int) -> str:
    """The commands of a page as one script, with a mark before each block."""
    parts = [text for kind, text in blocks(chapter) if kind == "sh"]
    run = ["" if text.strip() == SERVE else text.replace(":8080", f":{port}") for text in parts]
    return "".join(f"printf '\\n{MARK}{place}\\n'\n{text}" for place, text in enumerate(run, start=1))


def shown_by(chapter: Chapter) -> list[tuple[int, str]]:
    """The lines that a page shows as printed, each with the number of the block that prints it."""
    place, lines = 0, []
    for kind, text in blocks(chapter):
        place += kind == "sh"
        lines += [(place, line.strip()) for line in text.splitlines() if kind == "text" and line.strip()]
    return lines


def test_the_guide_begins_with_the_server_that_its_pages_talk_to() -> None:
    """The quickstart has the command by which these tests start the server."""
    assert ("sh", f"{SERVE}\n") in blocks(CHAPTERS[0])


def test_the_guide_has_commands_and_what_they_print() -> None:
    """Every page but those of threats and words can be tried, and its blocks are commands or what they print."""
    assert [chapter.name for chapter in CHAPTERS if not blocks(chapter)] == ["threats", "glossary"]
    assert {kind for chapter in CHAPTERS for kind, _ in blocks(chapter)} == {"sh", "text"}


@pytest.mark.skipif(shutil.which("curl") is None, reason="there is no curl on this machine")
@pytest.mark.parametrize("chapter", [each for each in CHAPTERS if blocks(each)], ids=lambda chapter: chapter.name)
def test_every_command_of_a_page_does_what_the_page_says(chapter: Chapter, served: Served, tmp_path: Path) -> None:
    """Its commands end without an error, one after the other, and every line shown is in what the last one printed."""
    folder_of_a_reader(tmp_path)
    (tmp_path / "demo.sqlite3").symlink_to(served.database)
    command = ["bash", "-euo", "pipefail", "-c", script_of(chapter, served.port)]
    language = {"LC_ALL": "C.UTF-8"}
    done = subprocess.run(
        command, cwd=tmp_path, env={**environment(), **language}, capture_output=True, text=True, timeout=300
    )
    assert done.returncode == 0, done.stdout[-3000:] + done.stderr
    printed = re.split(rf"^{MARK}\d+\n", done.stdout, flags=re.MULTILINE)
    missing = [f"block {place}: {line}" for place, line in shown_by(chapter) if line not in printed[place]]
    assert missing == [], done.stdout[-6000:] + done.stderr


@pytest.mark.skipif(shutil.which("curl") is None, reason="there is no curl on this machine")
def test_the_readmes_requests_and_commands_do_what_it_says(served: Served, tmp_path: Path) -> None:
    """All of its blocks but the two that set up an environment and the ones that serve end without an error."""
    text = (ROOT / "README.md").read_text("utf-8")
    kept = [block for kind, block in BLOCK.findall(text) if kind == "sh" and not NOT_TRIED.search(block)]
    page = Chapter("readme", "Readme", "\n".join(f"```sh\n{block}```" for block in kept))
    assert len(kept) >= 5
    folder_of_a_reader(tmp_path)
    (tmp_path / "demo.sqlite3").symlink_to(served.database)
    command = ["bash", "-euo", "pipefail", "-c", script_of(page, served.port)]
    done = subprocess.run(command, cwd=tmp_path, env=environment(), capture_output=True, text=True, timeout=300)
    assert done.returncode == 0, done.stdout[-3000:] + done.stderr
    assert "HTTP/1.1 201" in done.stdout and "/problems/" not in done.stdout
