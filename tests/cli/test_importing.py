"""``template`` and ``import``: files to type into, and what was typed brought in."""

from __future__ import annotations

import io
import json
from pathlib import Path

import openpyxl

from tests.api.files import PLACE, POINT, points_map
from tests.cli.command_line import DEMO, refusal, run


def loaded(folder: Path) -> None:
    """A database with the demo's catalogue in the folder."""
    assert run(folder, "load", str(DEMO / "catalogue.json"), "--database", "build.db").returncode == 0


def test_a_catalogue_is_written_changed_and_brought_in(tmp_path: Path) -> None:
    """First checked, which stores nothing, then stored; a second time nothing is left to change."""
    loaded(tmp_path)
    done = run(tmp_path, "template", "catalogue", "full.xlsx", "--filled", "--database", "build.db")
    assert (done.returncode, done.stdout, done.stderr) == (0, b"", b"")
    book = openpyxl.load_workbook(tmp_path / "full.xlsx")
    prices = {row[0].value: row[9] for row in book["sleeves"]}
    prices["rs-12"].value = 24.5
    book.save(tmp_path / "full.xlsx")
    command = ("import", "catalogue", "full.xlsx", "--database", "build.db")
    checked = run(tmp_path, *command, "--check").stdout.decode()
    assert "nothing stored" in checked and "sleeves/rs-12: price" in checked
    assert "catalogue revision 2" in run(tmp_path, *command).stdout.decode()
    assert "     0 changed     6 unchanged" in run(tmp_path, *command).stdout.decode()


def test_faults_are_told_by_sheet_and_cell(tmp_path: Path) -> None:
    """One a line, then how many there are; exit code 2 and nothing stored."""
    loaded(tmp_path)
    run(tmp_path, "template", "catalogue", "full.xlsx", "--filled", "--database", "build.db")
    book = openpyxl.load_workbook(tmp_path / "full.xlsx")
    book["sleeves"]["D3"], book["closures.ports"]["C4"] = "many", "=1+1"
    book.save(tmp_path / "full.xlsx")
    done = run(tmp_path, "import", "catalogue", "full.xlsx", "--database", "build.db")
    assert (done.returncode, done.stdout) == (2, b"")
    lines = [line.removeprefix("traywright: ") for line in done.stderr.decode().splitlines()]
    assert lines[0] == "sleeves!D3: This is no number."
    assert lines[1].startswith("closures.ports!C4: This is a formula.")
    assert lines[2] == "full.xlsx: 2 faults were found in the file, so nothing was stored."


def test_a_section_goes_out_and_in_as_csv(tmp_path: Path) -> None:
    """The section has to be said; a fault names the cell alone, since there are no sheets."""
    loaded(tmp_path)
    command = ("template", "catalogue", "m.csv", "--filled", "--database", "build.db")
    assert "--section" in refusal(run(tmp_path, *command))
    assert run(tmp_path, *command, "--section", "materials").returncode == 0
    assert "there is such a file already" in refusal(run(tmp_path, *command, "--section", "materials"))
    text = (tmp_path / "m.csv").read_text("utf-8")
    done = run(tmp_path, "import", "catalogue", "m.csv", "--section", "materials", "--database", "build.db")
    assert b"36 unchanged" in done.stdout
    (tmp_path / "m.csv").write_text(text.replace(",piece,", ",,", 1), "utf-8")
    done = run(tmp_path, "import", "catalogue", "m.csv", "--section", "materials", "--database", "build.db")
    assert done.stderr.decode().startswith("traywright: E4: ")


def test_splice_points_become_lines_that_a_takeoff_takes(tmp_path: Path) -> None:
    """Of a workbook's example sheets moved to where they are read, and of a map."""
    content = run(tmp_path, "template", "splice-points", "-").stdout
    book = openpyxl.load_workbook(io.BytesIO(content))
    for sheet in ("points", "points.cables", "points.joints"):
        del book[sheet]
        book[f"-{sheet} example"].title = sheet
    book.save(tmp_path / "points.xlsx")
    done = run(tmp_path, "import", "splice-points", "points.xlsx")
    lines = [json.loads(line) for line in done.stdout.splitlines()]
    assert [line["name"] for line in lines] == ["Quay 1", "Quay 5"]
    (tmp_path / "points.geojson").write_bytes(points_map([POINT]))
    done = run(tmp_path, "import", "splice-points", "points.geojson")
    position = {"longitude": PLACE[0], "latitude": PLACE[1]}
    assert json.loads(done.stdout) == {**POINT, "position": position}
    planned = run(tmp_path, "takeoff", "-", "--processes", "1", stdin=done.stdout)
    assert planned.returncode == 0, planned.stderr


def test_what_cannot_be_read_is_said_in_one_line(tmp_path: Path) -> None:
    """No workbook, a map that is no JSON, a file that is not there."""
    (tmp_path / "points.xlsx").write_bytes(b"name")
    (tmp_path / "points.geojson").write_bytes(b"{")
    assert "no XLSX" in refusal(run(tmp_path, "import", "splice-points", "points.xlsx"))
    assert refusal(run(tmp_path, "import", "splice-points", "points.geojson")).startswith("points.geojson: ")
    assert "no such file" in refusal(run(tmp_path, "import", "catalogue", "none.xlsx"))
