"""The demo's second visit: its files are what comes out now, its figures stand in the answers, its commands run."""

from __future__ import annotations

import csv
import json
import re
import shutil
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from scipy.stats import betanbinom

from service.app import create_app
from service.settings import Settings
from service.store import open_store
from tests.api.live_server import free_port, served
from tests.cli.command_line import environment
from tests.demo.files import CATALOGUE, DEMO
from tests.demo.made_story import FOLDER, JSON, Story, told

TEXT = (DEMO / "second-visit.md").read_text("utf-8")
ORDERS = ("order before", "order after first", "order after second")
SMALL = 150_000
"""Most bytes that PDFs and workbooks of the story may take together in the tree."""


@pytest.fixture(scope="module")
def story() -> Story:
    """The story as it comes out now."""
    return told()


def test_the_files_are_what_comes_out_now(story: Story) -> None:
    """Byte for byte: sheets, drawings, schedules and the workbooks as they were filled in."""
    assert {name for name, content in story.files.items() if (FOLDER / name).read_bytes() != content} == set()
    requests = {"request.json", "addition.json", "next-job.json"}
    assert {each.name for each in FOLDER.iterdir()} == story.files.keys() | requests
    binary = [each.stat().st_size for each in FOLDER.iterdir() if each.suffix in (".pdf", ".xlsx")]
    assert sum(binary) < SMALL


def at(answer: Any, place: str) -> Any:
    """What stands at a place of an answer."""
    for part in place[1:].split("/"):
        answer = answer[int(part) if isinstance(answer, list) else part]
    return answer


def test_the_answers_have_the_figures_that_were_worked_out(story: Story) -> None:
    """Every value of the table stands at its place."""
    shown = re.findall(r"^\| ([\w ]+) \| `(/\S+)` \| `(.*?)` \|$", TEXT, re.MULTILINE)
    assert len(shown) > 30
    found = [(name, place, at(story.answers[name], place)) for name, place, _ in shown]
    assert found == [(name, place, json.loads(value)) for name, place, value in shown]


def test_the_page_has_the_figures_of_its_sums() -> None:
    """What is worked by hand in the text is so: SciPy's probabilities and the sums, to the places shown."""
    prior = 20 * 0.1 / 0.9
    for a, b, spares in ((prior, 20, 13), (prior + 1, 42, 8), (prior + 3, 43, 11)):
        remakes = betanbinom(40, b, a)
        shown = [f"{a:.3f}", f"{remakes.pmf(0):.5f}", f"{remakes.pmf(1):.4f}"]
        shown += [f"{remakes.cdf(k):.4f}" for k in (spares - 1, spares)]
        assert [figure for figure in shown if figure not in TEXT] == []


def test_records_change_the_next_orders_spares_as_the_statistics_say(story: Story) -> None:
    """Beta prior of the method, what was recorded added to it, and the quantile of SciPy's Beta-negative-binomial."""
    lines = [next(line for line in story.answers[name]["lines"] if line["item"] == "rs-12") for name in ORDERS]
    joints, lost = (0, 22, 23), (0, 1, 3)
    for line, seen, sleeves in zip(lines, joints, lost, strict=True):
        (group,) = line["spares"]["rework"]
        a, b = 20 * 0.1 / 0.9 + sleeves, 20 + seen
        assert (group["alpha"], group["beta"]) == (pytest.approx(a), b)
        assert line["spares"]["pooled"] == int(betanbinom.ppf(0.95, 40, b, a))
    assert [line["packs"] for line in lines] == [3, 2, 3]


def test_the_crews_figures_are_those_that_the_story_tells(story: Story) -> None:
    """Near the limit, a gain one way that is none in the mean, and remakes before and after shrinking."""
    first = story.answers["first acceptance"]["splices"]
    near = [fibre["loss_db"] for splice in first for fibre in splice["fibres"] if fibre["loss_db"] >= 0.19]
    assert near == [0.19, 0.2]
    assert {fibre["basis"] for splice in first for fibre in splice["fibres"]} == {"two_way"}
    assert not any("gain" in note for splice in first for note in splice["notes"])


def test_a_visit_by_its_sheet_alone_finds_every_end(story: Story) -> None:
    """The second sheet's new splices are those that the record has afterwards and had not before."""
    before, after = (
        {splice["number"] for tray in story.answers[name]["trays"] for splice in tray["splices"]}
        for name in ("first", "second")
    )
    lines = story.files["second-schedule.csv"].decode("utf-8-sig").splitlines()
    assert len(after - before) == len(lines) - 1 == 5
    assert before < after


def test_what_the_page_and_its_folder_point_at_is_there() -> None:
    """Every link, and every file of the folder is linked from the page."""
    linked = set(re.findall(r"\]\(([^):#]+)\)", TEXT))
    assert [name for name in linked if not (DEMO / name).exists()] == []
    assert {f"second-visit/{each.name}" for each in FOLDER.iterdir()} - linked == {"second-visit/second-schedule.csv"}


@pytest.fixture
def port(tmp_path: Path) -> Iterator[int]:
    """The port of a server with the demo's catalogue and an empty book."""
    store = open_store(f"sqlite:///{tmp_path}/live.sqlite3")
    store.upgrade()
    settings = Settings(port=free_port())
    app = create_app(settings, store)
    put = app.test_client().put("/v1/catalogue", data=CATALOGUE, content_type=JSON, headers={"If-None-Match": "*"})
    assert put.status_code == 200
    with served(app, settings):
        yield settings.port
    store.close()


@pytest.mark.skipif(shutil.which("curl") is None or shutil.which("bash") is None, reason="needs curl and bash")
def test_every_command_of_the_page_can_be_run(port: int, tmp_path: Path) -> None:
    """One after the other against a live server; the orders and verdicts that come out are those of the page."""
    blocks = re.findall(r"^```sh\n(.*?)^```", TEXT, re.MULTILINE | re.DOTALL)
    assert blocks[0] == ".venv/bin/python -m service demo --serve --port 8080\n"
    script = "set -euo pipefail\n" + "".join(blocks[1:])
    script = script.replace(".venv/bin/python", sys.executable).replace(":8080", f":{port}")
    folder = tmp_path / "typed"
    folder.mkdir()
    (folder / "demo").symlink_to(DEMO)
    done = subprocess.run(
        ["bash", "-c", script], cwd=folder, env=environment(), capture_output=True, timeout=120, check=False
    )
    assert (done.returncode, done.stderr) == (0, b"")
    quantities = []
    for name in ("before", "after-first", "after-second"):
        with (folder / f"order-{name}.csv").open(encoding="utf-8-sig") as lines:
            quantities.append(next(row["quantity"] for row in csv.DictReader(lines) if row["item"] == "rs-12"))
    assert quantities == ["53", "48", "51"]
    for name in ("first", "second"):
        assert json.loads((folder / f"{name}-acceptance.json").read_bytes())["good"] is True
    assert (folder / "sheet.pdf").read_bytes()[:5] == (folder / "second-sheet.pdf").read_bytes()[:5] == b"%PDF-"
    assert json.loads((folder / "hung.json").read_bytes())["splices"] == 32
