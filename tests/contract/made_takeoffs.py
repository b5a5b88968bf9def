"""The examples of takeoffs in ``openapi.yaml``: what comes of the lines shown there, with the catalogue shown there."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import orjson

from service.api.spec import load_spec
from service.api.takeoffs.point_checks import PointChecks
from service.building.adding_up import added_up
from service.building.demand_work import demand_work
from service.building.lines import lines_of
from service.building.reading import Reading
from service.building.receiving import receive
from service.building.renaming import own_faults
from service.building.standing import standing_of
from service.building.worker import Worker
from service.building.written_points import point_written
from service.documents.takeoff import faulty_to, takeoff_to
from service.domain.takeoff import NewTakeoff
from service.store import AnyRevision, PointFilter, open_store

MOMENT = datetime(2026, 3, 2, 9, 30, tzinfo=UTC)
ID = "7c1d2b0f4e5a4c7f9b3a6d8e1f20c4b5"


def made_takeoffs(document: dict[str, Any]) -> dict[str, dict[str, Any]]:
    """The examples by name: the takeoff when it has begun and when it is finished, its points, faults, materials."""
    examples = document["components"]["examples"]
    lines = examples["splicePointLines"]["value"].encode()
    with TemporaryDirectory() as folder:
        store = open_store(f"sqlite:///{Path(folder)}/made.db", lambda: MOMENT)
        store.upgrade()
        store.put_catalogue(examples["smallCatalogue"]["value"], AnyRevision())
        takeoffs = store.takeoffs
        version, tags = document["info"]["version"], {"area": "harbour", "phase": "2"}
        new = NewTakeoff(ID, MOMENT, "Ferrowmouth, phase 2", store.catalogue_revision(), version, tags)
        checks = PointChecks(load_spec(), depth=64)
        reading = Reading(checks.of_line, 0)
        receive(takeoffs, new, reading.read(lines_of([lines], 100_000)))
        takeoffs.start(ID)
        begun = takeoffs.get(ID)
        told_begun = standing_of(takeoffs, begun, MOMENT)
        worker = Worker(store, demand_work(), "made", lambda _: False)
        while worker.take():
            pass
        finished = takeoffs.get(ID)
        points = takeoffs.points(ID)
        faulty = takeoffs.points(ID, which=PointFilter(faulty=True))
        sums = added_up(takeoffs, ID)
        told = standing_of(takeoffs, finished, MOMENT)
        store.close()
    totals = sums["totals"]
    return {
        "takeoffBegun": {"summary": "Four lines, two of them alike and two not in order.", "value": told_begun},
        "takeoffFinished": {"summary": "The same when it is finished.", "value": told},
        "takeoffList": {
            "summary": "A page with one takeoff.",
            "value": {"items": [takeoff_to(begun)], "next": None},
        },
        "takeoffPointList": {
            "summary": "A page of its splice points, without their plans.",
            "value": {"items": [orjson.loads(point_written(point)) for point in points], "next": None},
        },
        "takeoffFaultList": {
            "summary": "A page of its faulty splice points.",
            "value": {"items": [faulty_to(point, own_faults(point)) for point in faulty], "next": None},
        },
        "takeoffMaterials": {
            "summary": "What its splice points need.",
            "value": {
                "id": ID,
                "name": finished.name,
                "points": totals["fitting"],
                "items": sums["materials"],
                "sleeves": totals["sleeves"],
                "prices": totals["prices"],
            },
        },
    }
