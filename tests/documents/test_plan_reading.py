"""A stored plan read back says what it said."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from service.cli.answers import answered
from service.documents.catalogue import catalogue_from
from service.documents.plan import plan_to
from service.documents.plan_reading import plan_from

DEMO = Path(__file__).parents[2] / "demo"
LINES = (DEMO / "splice-points.ndjson").read_text().splitlines()


@pytest.fixture(scope="module")
def catalogue() -> Any:
    """The demo's catalogue."""
    return catalogue_from(json.loads((DEMO / "catalogue.json").read_text()))


@pytest.mark.parametrize("line", range(len(LINES)))
def test_a_plan_read_back_and_written_again_is_the_same_document_but_for_the_certificate(
    catalogue: Any, line: int
) -> None:
    """Every figure, word and member of the demo's plans survives, those that fit and those that do not."""
    request = json.loads(LINES[line])
    plan = answered(json.dumps({**request, "headroom": True}).encode(), catalogue).plan
    document = json.loads(json.dumps(plan_to(plan)))
    certificate = document.pop("certificate", None)
    assert (certificate is not None) == document["fits"]
    assert plan_to(plan_from(document)) == document
