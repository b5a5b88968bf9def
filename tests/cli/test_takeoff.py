"""``takeoff``: a whole build planned from the command line, here or by a server."""

from __future__ import annotations

import json
import pty
import signal
import subprocess
import sys
from pathlib import Path

import orjson
import pytest
from openpyxl import load_workbook

from service.app import create_app
from service.settings import Settings
from service.store import AnyRevision, open_store
from tests.api.live_server import free_port, served
from tests.api.sent_takeoffs import work
from tests.cli.command_line import DEMO, POINTS, ROOT, environment, refusal, run

SOME = b"\n".join([POINTS[0], POINTS[1], b"", b"no json", POINTS[0].replace(b'"F"', b'"feeder"')])


@pytest.fixture
def some(tmp_path: Path) -> Path:
    """A file of four splice points, of which two are alike and one is not in order."""
    file = tmp_path / "some.ndjson"
    file.write_bytes(SOME)
    return file


def test_a_file_is_planned_and_its_needs_are_printed(tmp_path: Path, some: Path) -> None:
    """No database needed: counts, the faulty line, closures, sleeves and money on the output, progress beside it."""
    done = run(tmp_path, "takeoff", str(some), "--processes", "1", "--out", "plans.ndjson")
    assert done.returncode == 0, done.stderr
    told = done.stdout.decode()
    assert told.startswith("4 splice points, 2 different demands: 3 fit, 0 do not, 1 faulty; 0 not proven best.")
    assert "line 4: /: This is no JSON" in told and "hand-2" in told and "EUR" in told
    assert "4 of 4" in done.stderr.decode()
    plans = [json.loads(line) for line in (tmp_path / "plans.ndjson").read_bytes().splitlines()]
    assert [plan["outcome"] for plan in plans] == ["fits", "fits", "faulty", "fits"]
    assert plans[3]["plan"]["lanes"][0]["cable"] == "feeder"


def test_a_strict_takeoff_tells_its_faults_and_plans_nothing(tmp_path: Path, some: Path) -> None:
    """Exit code 2, the line with its number on standard error."""
    done = run(tmp_path, "takeoff", str(some), "--strict")
    assert done.returncode == 2 and done.stdout == b""
    assert b"line 4: /: This is no JSON" in done.stderr


def test_a_takeoff_stays_in_the_database_named(tmp_path: Path, some: Path) -> None:
    """It can be read there afterwards; a database without a catalogue is refused."""
    assert "no catalogue" in refusal(run(tmp_path, "takeoff", str(some), "--database", "new.db"))
    assert run(tmp_path, "load", str(DEMO / "catalogue.json"), "--database", "build.db").returncode == 0
    command = ("takeoff", str(some), "--database", "build.db", "--processes", "1", "--name", "Phase 2")
    done = run(tmp_path, *command, "--out", "needs.xlsx")
    assert load_workbook(tmp_path / "needs.xlsx").sheetnames[0] == "By item"
    store = open_store(f"sqlite:///{tmp_path}/build.db")
    takeoff = store.takeoffs.listed()[0]
    store.close()
    assert (takeoff.name, takeoff.state, takeoff.fitting) == ("Phase 2", "finished", 3)
    assert takeoff.id in done.stdout.decode()


def test_a_takeoff_is_sent_to_a_server_and_watched(tmp_path: Path, some: Path) -> None:
    """The server plans it; what it needs is printed here, with its address."""
    store = open_store(f"sqlite:///{tmp_path}/served.db")
    store.upgrade()
    store.put_catalogue(orjson.loads((DEMO / "catalogue.json").read_bytes()), AnyRevision())
    settings = Settings(port=free_port())
    server, out = f"http://127.0.0.1:{settings.port}", str(tmp_path / "needs.csv")
    command = [sys.executable, "-m", "service", "takeoff", str(some), "--server", server, "--out", out]
    with served(create_app(settings, store), settings):
        sender = subprocess.Popen(command, cwd=ROOT, env=environment(), stdout=subprocess.PIPE)
        while sender.poll() is None:
            work(store)
        told = sender.communicate()[0].decode()
    store.close()
    assert (tmp_path / "needs.csv").read_bytes().startswith(b"kind,item,title,")
    assert sender.returncode == 0
    assert told.startswith("4 splice points, 2 different demands: 3 fit") and "/v1/takeoffs/" in told


def test_a_server_that_is_not_there_is_told_in_a_line(tmp_path: Path, some: Path) -> None:
    """So is an address that is none."""
    assert "http://" in refusal(run(tmp_path, "takeoff", str(some), "--server", f"http://127.0.0.1:{free_port()}"))
    assert "begins with http" in refusal(run(tmp_path, "takeoff", str(some), "--server", "file:///etc/hosts"))


def test_a_terminal_gets_a_bar(tmp_path: Path, some: Path) -> None:
    """One line, drawn over and over."""
    ours, theirs = pty.openpty()
    command = [sys.executable, "-m", "service", "takeoff", str(some), "--processes", "1"]
    done = subprocess.run(command, cwd=ROOT, env=environment(), stdout=subprocess.DEVNULL, stderr=theirs, check=False)
    drawn = b""
    with open(theirs, "wb", closefd=True), open(ours, "rb", buffering=0) as terminal:
        while b"4 of 4" not in drawn:
            drawn += terminal.read(4096)
    assert done.returncode == 0
    assert b"\r[" in drawn and b"#] 4 of 4" in drawn


def test_a_file_that_is_not_there_is_told(tmp_path: Path) -> None:
    """In one line."""
    assert "there is no such file" in refusal(run(tmp_path, "takeoff", "nothing.ndjson"))


def test_an_interrupt_cancels_the_takeoff(tmp_path: Path) -> None:
    """Nothing works on unseen; what was planned by then can still be read."""
    assert run(tmp_path, "load", str(DEMO / "catalogue.json"), "--database", "build.db").returncode == 0
    command = [sys.executable, "-m", "service", "takeoff", str(DEMO / "build.ndjson"), "--database", "build.db"]
    planning = subprocess.Popen(
        [*command, "--processes", "1"], cwd=tmp_path, env=environment(), stdout=subprocess.PIPE, stderr=subprocess.PIPE
    )
    assert planning.stderr is not None
    planning.stderr.readline()
    planning.send_signal(signal.SIGINT)
    output, _ = planning.communicate(timeout=60)
    assert planning.returncode == 130 and output == b""
    store = open_store(f"sqlite:///{tmp_path}/build.db")
    takeoff = store.takeoffs.listed()[0]
    store.close()
    assert takeoff.state == "cancelled" and takeoff.done < takeoff.points == 400


def test_the_demo_does_not_replace_a_database_with_a_takeoff_in_it(tmp_path: Path, some: Path) -> None:
    """It holds the demo's catalogue and nothing but the demo's plans, and yet is somebody's work."""
    assert run(tmp_path, "load", str(DEMO / "catalogue.json"), "--database", "demo.sqlite3").returncode == 0
    done = run(tmp_path, "takeoff", str(some), "--database", "demo.sqlite3", "--processes", "1")
    assert done.returncode == 0
    assert "--fresh replaces it" in refusal(run(tmp_path, "demo"))
