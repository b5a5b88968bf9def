"""Equal splice points are found, planned as one, and get their own names back."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import orjson
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from service.building.equals import canonical
from service.building.placeholders import longest_run, run_in
from service.building.renaming import renamed_answer, renamed_faults
from service.documents.plan import plan_to
from service.documents.request import request_from
from service.domain.catalogue import Catalogue
from service.domain.faults import Fault, Refused
from service.planning.plan import plan_splice_point
from tests.building.renamed_points import CATALOGUE, ODD_NAMES, POINTS, called, own_words, renamed

QUICK = [point for point in POINTS if len(point["joints"]) < 12 and "hub" not in point["name"]]
drawn = settings(max_examples=250, deadline=None, suppress_health_check=list(HealthCheck))


def planned(document: dict[str, Any], catalogue: Catalogue = CATALOGUE) -> bytes | list[Fault]:
    """The answer to a request as the API writes it, or its faults."""
    try:
        return orjson.dumps(plan_to(plan_splice_point(request_from(document), catalogue)))
    except Refused as refusal:
        return list(refusal.faults)


def by_its_equal(document: dict[str, Any], catalogue: Catalogue = CATALOGUE) -> bytes | list[Fault]:
    """The same, by way of the canonical request."""
    demand = canonical(document, run_in(catalogue))
    found = planned(orjson.loads(demand.request), catalogue)
    if isinstance(found, bytes):
        return renamed_answer(found, document["name"], demand.names)
    return list(renamed_faults(found, demand.names))


@given(renamed(QUICK))
@drawn
def test_the_plan_of_an_equal_point_renamed_is_its_own_plan_byte_for_byte(document: dict[str, Any]) -> None:
    """Whatever the names, and whether it fits, does not fit, or is refused."""
    assert by_its_equal(document) == planned(document)


@pytest.mark.parametrize("point", POINTS, ids=lambda point: point["name"])
def test_every_splice_point_of_the_demo_comes_out_the_same(point: dict[str, Any]) -> None:
    """With the names that it has, and with the oddest ones."""
    tags, labels = own_words(point)
    odd = [f"{ODD_NAMES[n % len(ODD_NAMES)]}{n or ''}" for n in range(len(tags) + len(labels))]
    for document in (point, called(point, ODD_NAMES[3], odd[: len(tags)], odd[len(tags) :])):
        assert by_its_equal(document) == planned(document)


@given(renamed(QUICK), st.data())
@drawn
def test_points_that_differ_in_names_alone_are_one_demand(document: dict[str, Any], data: st.DataObject) -> None:
    """The canonical request is the same text, and the order of members does not count."""
    tags, labels = own_words(document)
    other = called(document, "another", [f"t{n}" for n in range(len(tags))], [f"l{n}" for n in range(len(labels))])
    other = dict(data.draw(st.permutations(list(other.items()))))
    assert canonical(document, 0).request == canonical(other, 0).request


def test_names_are_not_mixed_up() -> None:
    """Two labels are not one, a label spelled like a tag is another thing, and exchanged tags are another demand."""
    point = QUICK[0]
    tags, _ = own_words(point)
    labelled = called(point, "", tags, [])
    for place, joint in enumerate(labelled["joints"]):
        joint["keep_apart"] = str(place)
    as_one = called(labelled, "", tags, ["x"] * len(labelled["joints"]))
    as_tags = called(labelled, "", tags, tags)
    assert canonical(labelled, 0).request != canonical(as_one, 0).request
    assert canonical(labelled, 0).request == canonical(as_tags, 0).request
    swapped = called(point, "", tags, [])
    swapped["joints"][0]["to"]["cable"] = next(
        tag for tag in tags if tag not in (point["joints"][0]["to"]["cable"], point["joints"][0]["from"]["cable"])
    )
    assert canonical(point, 0).request != canonical(swapped, 0).request


def test_a_title_of_the_catalogue_that_looks_like_a_placeholder_is_left_alone() -> None:
    """The placeholders of a takeoff have more brackets than any text that is not renamed."""
    closure = CATALOGUE.closures["hand-2"]
    odd = replace(CATALOGUE, closures={**CATALOGUE.closures, "hand-2": replace(closure, title="for ⸢⸢1⸣ and '⸢2⸣'")})
    document = called(QUICK[0], "point", *own_words(QUICK[0]))
    assert run_in(odd) == 2
    answer = planned(document, odd)
    assert isinstance(answer, bytes) and "⸢⸢1⸣".encode() in answer
    assert by_its_equal(document, odd) == answer


def test_a_fibre_category_that_looks_like_a_placeholder_is_left_alone() -> None:
    """The request itself has a text that is not renamed: the key of a storage radius."""
    document = called(QUICK[0], "point", *own_words(QUICK[0]))
    document["rules"] = {**document.get("rules", {}), "storage_radius_mm": {"⸢1⸣": 30}}
    answer = planned(document)
    assert isinstance(answer, bytes) and "⸢1⸣".encode() in answer
    assert by_its_equal(document) == answer


def test_runs_of_brackets_are_measured() -> None:
    """The longest run over all texts."""
    assert longest_run([]) == 0
    assert longest_run(["a", "⸢a⸢⸢b⸣⸣⸣", "⸢"]) == 2


def test_an_answer_that_is_none_to_a_canonical_request_is_refused() -> None:
    """It has a name already."""
    with pytest.raises(ValueError, match="canonical"):
        renamed_answer(b'{"name":"A","fits":true}', "B", {})
