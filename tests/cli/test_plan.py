"""``plan``: one request in, one answer out, nothing stored."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

from tests.cli.command_line import DEMO, POINTS, environment, refusal, run


def test_a_request_from_standard_input_is_planned_with_the_demo_catalogue(tmp_path: Path) -> None:
    """The two-drop handhole is planned into its closure, as JSON, and no file is left behind."""
    done = run(tmp_path, "plan", "-", stdin=POINTS[0])
    answer = json.loads(done.stdout)
    assert (done.returncode, done.stderr) == (0, b"")
    assert (answer["fits"], answer["closure"]["code"], answer["splices"]) == (True, "hand-2", 4)
    assert list(tmp_path.iterdir()) == []


def test_the_same_request_gives_the_same_bytes(tmp_path: Path) -> None:
    """Two runs in two processes, each with its own hash seed, print the same answer byte for byte."""
    assert run(tmp_path, "plan", "-", stdin=POINTS[8]).stdout == run(tmp_path, "plan", "-", stdin=POINTS[8]).stdout


def test_a_request_from_a_file_is_printed_as_a_table(tmp_path: Path) -> None:
    """``--format table`` gives the sheet for people, the verdict first."""
    (tmp_path / "request.json").write_bytes(POINTS[0])
    done = run(tmp_path, "plan", "request.json", "--format", "table", "--catalogue", str(DEMO / "catalogue.json"))
    assert done.returncode == 0
    assert done.stdout.decode().startswith("FITS  Tollen Row 3, handhole, two drops\n  Closure hand-2: ")


def test_what_does_not_fit_is_an_answer(tmp_path: Path) -> None:
    """A splice point that does not fit is told with its reasons and exit code 0."""
    done = run(tmp_path, "plan", "-", "--format", "table", stdin=POINTS[-1])
    assert done.returncode == 0
    assert done.stdout.decode().startswith("DOES NOT FIT")
    assert "\nWHY IT DOES NOT FIT\n  - Express: " in done.stdout.decode()


def test_the_catalogue_can_come_from_a_database(tmp_path: Path) -> None:
    """With ``--database`` the stored catalogue is used: without the closure's tray the request is another one's."""
    document = json.loads((DEMO / "catalogue.json").read_text("utf-8"))
    hand = next(closure for closure in document["closures"] if closure["code"] == "hand-2")
    hand["title"], hand["ports"][1]["count"] = "Another closure", 1
    (tmp_path / "changed.json").write_text(json.dumps(document), "utf-8")
    assert run(tmp_path, "load", "changed.json", "--database", "changed.db").returncode == 0
    answer = json.loads(run(tmp_path, "plan", "-", "--database", "changed.db", stdin=POINTS[0]).stdout)
    assert [reason["limit"] for reason in answer["reasons"]] == ["ports"]


def test_all_faults_of_a_request_are_told_one_a_line(tmp_path: Path) -> None:
    """An unknown member and a negative reach are two faults, each with its pointer, and the exit code is 2."""
    request = json.loads(POINTS[0])
    request["rules"] = {"reach_mm": -1, "bogus": 1}
    done = run(tmp_path, "plan", "-", stdin=json.dumps(request).encode())
    told = sorted(line.split(": ")[2] for line in done.stderr.decode().splitlines())
    assert (done.returncode, done.stdout) == (2, b"")
    assert told == ["/rules/bogus", "/rules/reach_mm"]


def test_what_the_trade_refuses_is_told_with_a_pointer(tmp_path: Path) -> None:
    """A fibre that is joined twice is a fault that no schema can see."""
    request = json.loads(POINTS[0])
    request["joints"][1]["from"]["fibres"] = "2-3"
    line = refusal(run(tmp_path, "plan", "-", stdin=json.dumps(request).encode()))
    assert line.startswith("/joints/1/from/fibres: ")


def test_what_is_no_json_is_refused_in_one_line(tmp_path: Path) -> None:
    """Duplicate names, NaN and cut-off texts are refused before anything is planned."""
    for text in (b"{", b'{"name": NaN}', b'{"name": "a", "name": "b"}', b"", b"\xff"):
        assert refusal(run(tmp_path, "plan", "-", stdin=text)).startswith("-: ")


def test_missing_files_are_named(tmp_path: Path) -> None:
    """A file that is not there, a folder, and a database that is not there are told by name."""
    assert refusal(run(tmp_path, "plan", "none.json")) == "none.json: there is no such file"
    assert refusal(run(tmp_path, "plan", ".")) == ".: is a folder, not a file"
    assert refusal(run(tmp_path, "plan", "-", "--database", "none.db", stdin=POINTS[0])).startswith("none.db: ")
    assert not (tmp_path / "none.db").exists()


def test_a_reader_that_goes_away_ends_the_command_quietly(tmp_path: Path) -> None:
    """``plan … | head`` leaves no traceback."""
    command = f"{sys.executable} -m service plan - --format table | true"
    done = subprocess.run(
        ["/bin/sh", "-c", command],
        cwd=tmp_path,
        env=environment(),
        input=POINTS[8],
        capture_output=True,
        timeout=60,
        check=False,
    )
    assert done.stderr == b""


def test_a_request_is_drawn(tmp_path: Path) -> None:
    """``--format svg`` writes the drawing, the same each time."""
    done = run(tmp_path, "plan", "-", "--format", "svg", stdin=POINTS[0])
    assert (done.returncode, done.stderr) == (0, b"")
    assert done.stdout.startswith(b"<svg ")
    assert b"Tollen Row 3, handhole, two drops" in done.stdout
    assert run(tmp_path, "plan", "-", "--format", "svg", stdin=POINTS[0]).stdout == done.stdout
