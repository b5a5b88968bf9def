"""Takeoffs sent as workbooks, CSV and maps, and read back as points of a map."""

from __future__ import annotations

from typing import Any

import geojson
import orjson
import pytest
from flask import Flask

from service.store import Store
from tests.api.files import PLACE, POINT, points_csv, points_map, points_workbook, posted, workbook
from tests.api.held_client import HeldClient
from tests.api.sent_takeoffs import finished, sent, work
from tests.api.tokens import bearer

OTHER = {**POINT, "name": "Quay 5", "tags": {"street": "Quay"}, "position": {"longitude": -4.5, "latitude": 54.1}}
MADE = {"csv": points_csv, "xlsx": points_workbook}
CABLES = ["name", "cables.tag", "cables.cable"]
JOINTS = ["joints.from.cable", "joints.from.fibres", "joints.to.cable", "joints.to.fibres"]
HEAD = ",".join([*CABLES, *JOINTS]) + "\r\n"
GOOD = "Quay 1,A,drop-24,A,1-12,B,1-12\r\nQuay 1,B,drop-24,,,,\r\n"


def plans(client: HeldClient, id: str) -> list[dict[str, Any]]:
    """What came of the splice points, whole."""
    items: list[dict[str, Any]] = client.get(f"/v1/takeoffs/{id}/plans").get_json()["items"]
    return items


def errors(response: Any) -> list[tuple[str, str]]:
    """The cells, or pointers, and the codes of a refusal."""
    found = response.get_json()["errors"]
    assert response.status_code == 422
    return [
        (f"{each.get('sheet', '')}!{each['column']}{each['row']}" if "row" in each else each["pointer"], each["code"])
        for each in found
    ]


def stored(client: HeldClient) -> int:
    """How many takeoffs there are."""
    return len(client.get("/v1/takeoffs").get_json()["items"])


@pytest.mark.parametrize("ending", MADE)
def test_a_typed_takeoff_is_planned_as_the_same_lines_are(filled: HeldClient, store: Store, ending: str) -> None:
    """Splice point by splice point the same plans, tags and places; equal points are found equal all the same."""
    by_lines = finished(filled, store, [POINT, OTHER])
    answer = posted(filled, f"/v1/takeoffs.{ending}?name=Quay&tags=area:north", MADE[ending]([POINT, OTHER]))
    assert answer.status_code == 202
    work(store)
    id = answer.get_json()["id"]
    assert plans(filled, id) == plans(filled, by_lines)
    takeoff = filled.get(f"/v1/takeoffs/{id}").get_json()
    assert (takeoff["name"], takeoff["tags"], takeoff["demands"]["total"]) == ("Quay", {"area": "north"}, 1)


def test_a_fault_in_the_last_row_leaves_nothing(filled: HeldClient) -> None:
    """A thousand splice points in order and one that is not: 422, no takeoff, and the cell that is wrong."""
    rows = "".join(GOOD.replace("Quay 1", f"Quay {number}") for number in range(1000))
    answer = posted(filled, "/v1/takeoffs.csv", (HEAD + rows + "Last,A,drop-24,A,1-12,A,many\r\n").encode())
    assert [cell for cell, _ in errors(answer)] == ["!G2002"]
    assert stored(filled) == 0


def test_what_only_the_catalogue_knows_is_told_by_cell_too(filled: HeldClient) -> None:
    """An unknown cable, and fibres that it has not: the workbook's cells, and nothing stored."""
    content = workbook(
        {
            "points": [["name"], ["Quay 1"]],
            "points.cables": [CABLES, ["Quay 1", "A", "drop-24"], ["Quay 1", "B", "none"]],
            "points.joints": [["name", *JOINTS], ["Quay 1", "A", "1-12", "B", "1-12"]],
        }
    )
    answer = posted(filled, "/v1/takeoffs.xlsx", content)
    assert ("points.cables!C3", "unknown_code") in errors(answer)
    assert stored(filled) == 0


def test_every_fault_of_a_file_is_told_at_once(filled: HeldClient) -> None:
    """Of reading and of the schema, in the order of the rows, none twice."""
    rows = "Q,A,drop-24,A,1-12,B,1-12,few\r\nQ,B,drop 24,,,,,\r\nR,A,drop-24,,,,,\r\n"
    answer = posted(filled, "/v1/takeoffs.csv", (HEAD.replace("\r\n", ",rules.remakes\r\n") + rows).encode())
    assert [cell for cell, _ in errors(answer)] == ["!H2", "!C3", "!A4"]


@pytest.mark.parametrize("ending", ["csv", "xlsx", "geojson"])
def test_a_file_sent_again_under_its_key_is_one_takeoff(filled: HeldClient, ending: str) -> None:
    """The same answer for the same file, 422 for another one."""
    made = {**MADE, "geojson": points_map}[ending]
    path, key = f"/v1/takeoffs.{ending}", {"Idempotency-Key": "quay"}
    first = posted(filled, path, made([POINT]), **key)
    again = posted(filled, path, made([POINT]), **key)
    assert (again.get_json()["id"], again.headers["Idempotent-Replayed"]) == (first.get_json()["id"], "true")
    other = posted(filled, path, made([{**POINT, "name": "Quay 2"}]), **key)
    assert (other.status_code, other.get_json()["type"], stored(filled)) == (422, "/problems/key-reused", 1)


@pytest.mark.parametrize("content", [HEAD.encode(), b"", (HEAD + "\r\n,,,,,,\r\n").encode()])
def test_a_file_without_a_splice_point_is_refused(filled: HeldClient, content: bytes) -> None:
    """It is no empty build."""
    assert posted(filled, "/v1/takeoffs.csv", content).status_code == 422
    assert stored(filled) == 0


def test_a_map_goes_in_and_comes_out_with_what_came_of_it(filled: HeldClient, store: Store) -> None:
    """Positions to the last digit, a third number too; the verdict, closure and counts are those of the plans."""
    too_much = {**POINT, "name": "Quay 9", "closures": ["dome-48"], "rules": {"spare_trays": 900}}
    collection = orjson.loads(points_map([POINT, too_much]))
    collection["features"][0]["geometry"]["coordinates"] = [-4.486200123456789, 54.15, 12.25]
    collection["features"][1]["geometry"] = None
    answer = posted(filled, "/v1/takeoffs.geojson", orjson.dumps(collection))
    assert answer.status_code == 202, answer.get_json()
    work(store)
    id = answer.get_json()["id"]
    response = filled.get(f"/v1/takeoffs/{id}/points.geojson")
    assert response.mimetype == "application/geo+json"
    # The reference library's own reading of RFC 7946.
    read = geojson.loads(response.get_data(as_text=True))
    assert isinstance(read, geojson.FeatureCollection) and read.is_valid
    first, second = response.get_json()["features"]
    assert tuple(first["geometry"]["coordinates"]) == (-4.486200123456789, 54.15, 12.25)
    assert second["geometry"] is None
    fits, refused = plans(filled, id)
    told = first["properties"]
    assert (told["outcome"], told["closure"], told["trays"], told["splices"]) == (
        "fits", fits["closure"], fits["trays"], fits["splices"],
    )  # fmt: skip
    assert told["sleeves"] == sum(each["quantity"] for each in fits["plan"]["sleeves"]) > 0
    assert second["properties"]["reasons"] == [each["text"] for each in refused["plan"]["reasons"]] != []
    assert [each["place"] for each in (told, second["properties"])] == [1, 2]


def test_points_come_out_whatever_they_came_in_as(filled: HeldClient, store: Store) -> None:
    """Lines with a position and without, a waiting one and a faulty one; filters narrow them."""
    lines = [OTHER, POINT, {**POINT, "name": "x", "cables": []}]
    id = sent(filled, lines).get_json()["id"]
    waiting = filled.get(f"/v1/takeoffs/{id}/points.geojson").get_json()["features"]
    assert [each["properties"]["outcome"] for each in waiting] == ["waiting", "waiting", "faulty"]
    work(store)
    done = filled.get(f"/v1/takeoffs/{id}/points.geojson").get_json()["features"]
    assert [each["geometry"] for each in done] == [{"type": "Point", "coordinates": [-4.5, 54.1]}, None, None]
    assert done[2]["properties"]["faults"]
    north = filled.get(f"/v1/takeoffs/{id}/points.geojson?tag=street:Quay").get_json()["features"]
    assert [each["id"] for each in north] == [1]
    assert filled.get(f"/v1/takeoffs/{id}/points.geojson?fits=false").get_json()["features"] == []


def test_a_position_of_a_line_is_listed_and_makes_no_other_demand(filled: HeldClient, store: Store) -> None:
    """Two equal splice points at two places are planned once, and each keeps its place."""
    here = {**POINT, "position": {"longitude": 1.5, "latitude": 2}}
    id = finished(filled, store, [here, {**here, "position": {"longitude": -1, "latitude": 2, "altitude_m": 3}}, POINT])
    found = plans(filled, id)
    assert [each.get("position") for each in found] == [
        {"longitude": 1.5, "latitude": 2}, {"longitude": -1, "latitude": 2, "altitude_m": 3}, None,
    ]  # fmt: skip
    assert filled.get(f"/v1/takeoffs/{id}").get_json()["demands"]["total"] == 1
    assert "position" not in found[0]["plan"]


def test_a_position_out_of_range_is_a_fault(filled: HeldClient) -> None:
    """Told by its place among the faults of a takeoff of lines."""
    id = sent(filled, [{**POINT, "position": {"longitude": 181, "latitude": 2}}]).get_json()["id"]
    (faulty,) = filled.get(f"/v1/takeoffs/{id}/faults").get_json()["items"]
    assert [fault["pointer"] for fault in faulty["faults"]] == ["/position/longitude"]


def test_faults_of_a_map_lead_into_it(filled: HeldClient) -> None:
    """Of the geometry, of the splice point, and of what only the catalogue knows."""
    wrong = points_map([POINT, {**POINT, "colour": "red"}], (54.15, -94.4))
    assert errors(posted(filled, "/v1/takeoffs.geojson", wrong)) == [
        ("/features/0/geometry/coordinates/1", "range"),
        ("/features/1/geometry/coordinates/1", "range"),
        ("/features/1/properties/colour", "unknown_member"),
    ]
    cables = [{"tag": "A", "cable": "drop-24"}, {"tag": "B", "cable": "none"}]
    unknown = points_map([POINT, {**POINT, "cables": cables}])
    assert errors(posted(filled, "/v1/takeoffs.geojson", unknown)) == [
        ("/features/1/properties/cables/1/cable", "unknown_code"),
    ]
    assert stored(filled) == 0


def test_a_takeoff_of_another_team_is_on_no_map(app: Flask, filled: HeldClient) -> None:
    """404 for south; what north sends by file is north's."""
    north, south = bearer(app, "admin"), bearer(app, "admin", team="south")
    id = posted(filled, "/v1/takeoffs.geojson", points_map([POINT], PLACE), **north).get_json()["id"]
    assert filled.get(f"/v1/takeoffs/{id}/points.geojson", headers=north).status_code == 200
    assert filled.get(f"/v1/takeoffs/{id}/points.geojson", headers=south).status_code == 404
