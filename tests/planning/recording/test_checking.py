"""What a splice record cannot mean."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from service.domain.records import Loss
from service.planning.recording.checking import faults_of_records
from tests.planning.recording.test_learning import RECORD


@pytest.mark.parametrize(
    ("changes", "place"),
    [
        ({"remakes": 1, "remakes_after_shrinking": 2}, "/remakes_after_shrinking"),
        ({"form": "single"}, "/fibres"),
        ({"fibres": 1}, "/fibres"),
        ({"measurements": (Loss(13, 0.1, "measured", 1550),)}, "/measurements/0/fibre"),
        ({"measurements": (Loss(1, 0.1, "measured", 1550), Loss(2, 0.1))}, "/measurements/1/wavelength_nm"),
        ({"measurements": (Loss(1, 0.1, "estimated", None, "a_to_b"),)}, "/measurements/0/direction"),
    ],
)
def test_what_cannot_be_is_told_with_its_place(changes: dict[str, Any], place: str) -> None:
    """One fault each, under the record's own place."""
    faults = faults_of_records([RECORD, replace(RECORD, splice=2, **changes)], "/records")
    assert [fault.pointer for fault in faults] == [f"/records/1{place}"]


def test_a_splice_told_twice_at_once_is_refused() -> None:
    """Which of the two is the last one could not be told."""
    assert [fault.pointer for fault in faults_of_records([RECORD, RECORD])] == ["/1/splice"]


def test_good_records_have_no_faults() -> None:
    """A ribbon with a gain in one direction, an estimate, a fibre by itself."""
    losses = (Loss(1, -0.08, "measured", 1550, "a_to_b"), Loss(2, 0.03, "estimated"))
    single = replace(RECORD, splice=2, form="single", fibres=1)
    assert faults_of_records([replace(RECORD, measurements=losses), single]) == ()
