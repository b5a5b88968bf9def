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
from contextlib import contextmanager, nullcontext
from pathlib import Path

import pytest

from service.pages.docs.guide import CHAPTERS, Chapter
from tests.api.live_server import free_port
from tests.cli.command_line import ROOT, environment

BLOCK = re.compile(r"^```(\w*)\n(.*?)^```$", re.MULTILINE | re.DOTALL)
SERVE = ".venv/bin/python -m service demo --serve --port 8080"
MARK = "@@ block "


def blocks(chapter: Chapter) -> list[tuple[str, str]]:
    """The blocks of code of a page: what kind, and what stands in them."""
    return BLOCK.findall(chapter.text)


def folder_of_a_reader(folder: Path) -> None:
    """What a reader has before them: the demo's files, and an environment in ``.venv``."""
    shutil.copytree(ROOT / "demo", folder / "demo")
    python = folder / ".venv" / "bin" / "python"
    python.parent.mkdir(parents=True)
    python.write_text(f'#!/bin/sh\nexec {sys.executable} "$@"\n', "utf-8")
    python.chmod(0o755)


@contextmanager
def demo_served(folder: Path, port: int) -> Iterator[None]:
    """The server that the guide begins with, on a port of this test."""
    command = SERVE.replace("8080", str(port)).replace(".venv/bin/python", sys.executable).split()
    with open(folder / "server.txt", "wb") as said:
        server = subprocess.Popen(command, cwd=folder, env=environment(), stdout=said, stderr=said)
    try:
        for _ in range(600):
            try:
                urllib.request.urlopen(f"http://127.0.0.1:{port}/readyz", timeout=2).close()
                break
            except (urllib.error.URLError, ConnectionError):
                assert server.poll() is None, (folder / "server.txt").read_text("utf-8")
                time.sleep(0.1)
        yield
    finally:
        server.terminate()
        server.wait(30)


def test_the_guide_begins_with_the_server_that_its_pages_talk_to() -> None:
    """The quickstart has the command by which these tests start the server."""
    assert ("sh", f"{SERVE}\n") in blocks(CHAPTERS[0])


@pytest.mark.skipif(shutil.which("curl") is None, reason="there is no curl on this machine")
@pytest.mark.parametrize("chapter", CHAPTERS, ids=lambda chapter: chapter.name)
def test_every_command_of_a_page_does_what_the_page_says(chapter: Chapter, tmp_path: Path) -> None:
    """Its commands end without an error, one after the other, and every line shown is in what the last one printed."""
    folder_of_a_reader(tmp_path)
    port = free_port()
    script, shown, place = "", [], 0
    for kind, text in blocks(chapter):
        assert kind in ("sh", "text", "json"), kind
        if kind == "sh":
            place += 1
            own = "" if text.strip() == SERVE else text.replace(":8080", f":{port}")
            script += f"printf '\\n{MARK}{place}\\n'\n{own}"
        elif kind == "text":
            shown += [(place, line.strip()) for line in text.splitlines() if line.strip()]
    assert script or chapter.name == "glossary"
    with demo_served(tmp_path, port) if f":{port}" in script else nullcontext():
        done = subprocess.run(
            ["bash", "-euo", "pipefail", "-c", script],
            cwd=tmp_path, env={**environment(), "LC_ALL": "C.UTF-8"}, capture_output=True, text=True, timeout=300,
        )  # fmt: skip
    assert done.returncode == 0, done.stdout[-3000:] + done.stderr
    printed = re.split(rf"^{MARK}\d+\n", done.stdout, flags=re.MULTILINE)
    missing = [f"block {place}: {line}" for place, line in shown if line not in printed[place]]
    assert missing == [], done.stdout[-6000:] + done.stderr
