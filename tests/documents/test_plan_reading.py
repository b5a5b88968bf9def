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
from service.sheets.text import plan_text

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


def test_a_plan_of_an_earlier_version_is_read_without_what_it_does_not_say(catalogue: Any) -> None:
    """No gains, no depth and no slack that would fit: absent before and after, and nothing made up."""
    lines = (json.loads(line) for line in LINES)
    request = next(line for line in lines if {"crew", "site"} <= set(line))
    document = json.loads(json.dumps(plan_to(answered(json.dumps(request).encode(), catalogue).plan)))
    crew, site = document["crew"], document["site"]
    document["crew"] = {name: crew[name] for name in ("hours_median", "hours_90", "bottleneck", "assumptions")}
    kept = ("cable", "diameter_mm", "turns", "thickness_mm", "fits")
    document["site"] = {
        "fits": site["fits"],
        "coils": [{name: coil[name] for name in kept} for coil in site["coils"]],
        "notes": site["notes"],
    }
    read = plan_from(document)
    assert read.crew is not None and read.site is not None
    assert (read.crew.gains, read.crew.splices_in_window, read.crew.fits_window) == ((), None, None)
    assert (read.site.depth_used_mm, read.site.lid_closes, read.site.slack_fits) == (None, None, ())
    assert plan_text(read, catalogue)
