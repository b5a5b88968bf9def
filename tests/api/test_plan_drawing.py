"""The drawing of a plan, over HTTP."""

from __future__ import annotations

from copy import deepcopy
from typing import Any
from xml.etree import ElementTree

import pytest

from tests.api.held_client import HeldClient

SVG = "image/svg+xml"


@pytest.fixture
def path(filled: HeldClient, handhole: dict[str, Any]) -> str:
    """The path of a stored plan."""
    return f"/v1/plans/{filled.post('/v1/plans', json=handhole).get_json()['id']}"


def test_a_drawing_is_had_by_its_path_and_by_accept(filled: HeldClient, path: str) -> None:
    """Both are the same bytes with the same tag, which is not that of the JSON; who has it gets 304."""
    own, accepted = filled.get(f"{path}/drawing.svg"), filled.get(path, headers={"Accept": SVG})
    assert own.mimetype == accepted.mimetype == SVG
    assert own.data == accepted.data
    assert own.headers["ETag"] == accepted.headers["ETag"] != filled.get(path).headers["ETag"]
    assert accepted.headers["Vary"] == "Accept"
    again = filled.get(f"{path}/drawing.svg", headers={"If-None-Match": own.headers["ETag"]})
    assert (again.status_code, again.data) == (304, b"")
    assert ElementTree.fromstring(own.data).tag == "{http://www.w3.org/2000/svg}svg"


def test_the_layout_for_a_phone_is_another_drawing_with_another_tag(filled: HeldClient, path: str) -> None:
    """A narrow column of the same plan; a layout that nobody knows is refused."""
    paper, phone = filled.get(f"{path}/drawing.svg"), filled.get(f"{path}/drawing.svg?layout=phone")
    assert phone.headers["ETag"] != paper.headers["ETag"]
    widths = [int(ElementTree.fromstring(each.data).get("width", "0")) for each in (paper, phone)]
    assert widths == [718, 380]
    assert filled.get(f"{path}/drawing.svg?layout=poster").status_code == 400


def test_a_drawing_stays_when_the_catalogue_moves_on(filled: HeldClient, path: str, catalogue: dict[str, Any]) -> None:
    """A plan is drawn with the entries that it was made from, not with those of today."""
    before = filled.get(f"{path}/drawing.svg").data
    changed = deepcopy(catalogue)
    for cable in changed["cables"]:
        cable["ribbons_per_tube"] = 1
    for closure in changed["closures"]:
        closure["title"] = "Another title"
    tag = filled.get("/v1/catalogue").headers["ETag"]
    assert filled.put("/v1/catalogue", json=changed, headers={"If-Match": tag}).status_code == 200
    assert filled.get(f"{path}/drawing.svg").data == before


def test_a_refused_plan_is_drawn_as_its_reasons(filled: HeldClient, handhole: dict[str, Any]) -> None:
    """A plan that does not fit has a drawing too, and it says so first."""
    handhole["rules"] = {**handhole.get("rules", {}), "spare_trays": 50}
    made = filled.post("/v1/plans", json=handhole).get_json()
    assert made["fits"] is False
    drawn = filled.get(f"/v1/plans/{made['id']}/drawing.svg")
    assert "DOES NOT FIT" in drawn.get_data(as_text=True)
