"""The command that orders."""

from __future__ import annotations

import csv
import json
from pathlib import Path

import pytest

from service.store import open_store
from tests.cli.command_line import refusal, run

DATABASE = ("--database", "demo.sqlite3")


def plans(folder: Path, count: int, fits: bool = True) -> list[str]:
    """The ids of some of the demo's plans."""
    store = open_store(f"sqlite:///{folder / 'demo.sqlite3'}")
    found = [plan.id for plan in store.plans(count, fits=fits)]
    store.close()
    return found


def named(ids: list[str]) -> list[str]:
    """The plans as they are named on the command line."""
    return [word for id in ids for word in ("--plan", id)]


def test_an_order_is_made_and_shown(demo_folder: Path) -> None:
    """As a table: what is needed, bought and paid, the spares both ways, and what it is made from."""
    ids = plans(demo_folder, 3)
    done = run(demo_folder, "order", *named(ids), "--name", "First lot", "--supplier", "Supplies", *DATABASE)
    text = done.stdout.decode()
    assert done.returncode == 0, done.stderr
    assert "First lot" in text.splitlines()[0]
    assert all(word in text for word in ("draft, made", "supplier: Supplies", "\nTotal\n  EUR", "\nSpares\n"))
    assert all(id in text for id in ids)
    assert max(map(len, text.splitlines())) <= 118


def test_the_json_is_the_one_of_the_api(demo_folder: Path) -> None:
    """Every member of it, and it is stored."""
    ids = plans(demo_folder, 2)
    done = run(demo_folder, "order", *named(ids), "--confidence", "0.97", "--format", "json", *DATABASE)
    order = json.loads(done.stdout)
    assert [source["id"] for source in order["sources"]] == ids
    assert order["confidence"] == 0.97
    store = open_store(f"sqlite:///{demo_folder / 'demo.sqlite3'}")
    assert store.orders.get(order["id"]).state == "draft"
    store.close()


STARTS = {"csv": b"kind,item,", "xlsx": b"PK", "pdf": b"%PDF-", "json": b"{"}


@pytest.mark.parametrize(("ending", "start"), STARTS.items())
def test_an_order_is_written_to_a_file(demo_folder: Path, ending: str, start: bytes) -> None:
    """In the form that the file's name ends in."""
    done = run(demo_folder, "order", *named(plans(demo_folder, 1)), "--out", f"lot.{ending}", *DATABASE)
    assert done.returncode == 0, done.stderr
    assert (demo_folder / f"lot.{ending}").read_bytes().startswith(start)


def test_a_file_of_no_form_is_refused_before_anything_is_ordered(demo_folder: Path) -> None:
    """So that the order is not made twice for the sake of its file."""
    ids = plans(demo_folder, 1)
    assert "ends in .json" in refusal(run(demo_folder, "order", *named(ids), "--out", "lot.doc", *DATABASE))
    assert run(demo_folder, "order", *named(ids), *DATABASE).returncode == 0


def test_what_was_ordered_is_refused_unless_it_is_to_be_ordered_again(demo_folder: Path) -> None:
    """The order that has it is named."""
    ids = plans(demo_folder, 2)
    first = json.loads(run(demo_folder, "order", *named(ids), "--format", "json", *DATABASE).stdout)
    again = run(demo_folder, "order", *named(ids[:1]), *DATABASE)
    assert again.returncode == 2
    assert first["id"] in again.stderr.decode()
    assert "--again" in again.stderr.decode()
    assert run(demo_folder, "order", *named(ids[:1]), "--again", *DATABASE).returncode == 0


def test_what_cannot_be_ordered_is_told(demo_folder: Path) -> None:
    """A plan that does not fit, one that is not there, no takeoff, nothing at all."""
    unfit = plans(demo_folder, 1, fits=False)
    assert "/plans/0: This plan does not fit" in refusal(run(demo_folder, "order", *named(unfit), *DATABASE))
    assert "There is no plan" in refusal(run(demo_folder, "order", "--plan", "0" * 32, *DATABASE))
    assert "no finished takeoff" in refusal(run(demo_folder, "order", "--takeoff", "latest", *DATABASE))
    assert "nothing to order" in refusal(run(demo_folder, "order", *DATABASE))
    assert "from 0.5 to 0.9999" in refusal(run(demo_folder, "order", "--confidence", "2", *DATABASE))


def test_the_latest_takeoff_is_ordered(demo_folder: Path) -> None:
    """Sent by the one command, ordered by the other; its CSV has a line an item."""
    lines = (Path(__file__).parents[2] / "demo" / "splice-points.ndjson").read_bytes().splitlines()[:3]
    (demo_folder / "build.ndjson").write_bytes(b"\n".join([*lines, *lines]))
    sent = run(demo_folder, "takeoff", "build.ndjson", *DATABASE)
    assert sent.returncode == 0, sent.stderr
    done = run(demo_folder, "order", "--takeoff", "latest", "--format", "json", "--out", "lot.csv", *DATABASE)
    order = json.loads(done.stdout)
    assert [source["points"] for source in order["sources"]] == [6]
    with (demo_folder / "lot.csv").open(newline="", encoding="utf-8") as file:
        assert [row["item"] for row in csv.DictReader(file)] == [line["item"] for line in order["lines"]]
