"""``demo``: what it prints, and whose file it may replace."""

from __future__ import annotations

import json
import subprocess
from pathlib import Path

from tests.cli.command_line import DEMO, POINTS, refusal, run


def test_the_demo_prints_three_in_full_and_the_rest_in_a_line(
    demo_run: tuple[Path, subprocess.CompletedProcess[bytes]],
) -> None:
    """Two drops, a mid-sized point and one that does not fit are sheets; all forty are lines; then the totals."""
    _, done = demo_run
    text = done.stdout.decode()
    heads = [line for line in text.splitlines() if line.startswith(("FITS  ", "DOES NOT FIT  "))]
    assert (done.returncode, done.stderr) == (0, b"")
    assert [head.split("  ")[0] for head in heads] == ["FITS", "FITS", "DOES NOT FIT"]
    assert "two drops" in heads[0]
    table = text.split("\nsplice point")[1].split("\n\n")[0].splitlines()[1:]
    assert len(table) == len(POINTS)
    assert sum("NO: " in line for line in table) == 8
    assert "\n40 splice points: 32 fit, 8 do not. " in text


def test_the_demo_replaces_its_own_file(demo_folder: Path) -> None:
    """Run again, the file holds forty plans, not eighty."""
    assert run(demo_folder, "demo").returncode == 0
    assert run(demo_folder, "database", "show", "--database", "demo.sqlite3").stdout.split()[-1] == b"40"


def test_the_demo_leaves_other_work_alone(tmp_path: Path) -> None:
    """A file with a catalogue of someone else's is replaced only with ``--fresh``."""
    document = json.loads((DEMO / "catalogue.json").read_text("utf-8"))
    document["cables"].append({**document["cables"][0], "code": "ours-2"})
    (tmp_path / "ours.json").write_text(json.dumps(document), "utf-8")
    assert run(tmp_path, "load", "ours.json", "--database", "demo.sqlite3").returncode == 0
    assert "--fresh" in refusal(run(tmp_path, "demo"))
    assert run(tmp_path, "database", "show", "--database", "demo.sqlite3").stdout.split()[-1] == b"0"
    assert run(tmp_path, "demo", "--fresh").returncode == 0
    assert run(tmp_path, "database", "show", "--database", "demo.sqlite3").stdout.split()[-1] == b"40"


def test_the_demo_does_not_eat_a_file_that_is_no_database(tmp_path: Path) -> None:
    """A text file of that name is refused and kept."""
    (tmp_path / "demo.sqlite3").write_text("a shopping list\n" * 50)
    refusal(run(tmp_path, "demo"))
    assert (tmp_path / "demo.sqlite3").read_text().startswith("a shopping list\n")
