"""The worked example's request, fault and figures are what the service gives."""

from __future__ import annotations

import json
import re
from typing import Any

import pytest

from service.documents.plan import plan_to
from service.documents.request import request_from
from service.domain.catalogue import Catalogue
from service.domain.faults import Refused
from service.planning.plan import plan_splice_point
from tests.demo.files import DEMO

TEXT = (DEMO / "worked-example.md").read_text("utf-8")
WRONG, JOINTS = re.findall(r"^```json\n(.*?)^```", TEXT, re.MULTILINE | re.DOTALL)


def test_the_fault_is_at_the_place_that_the_page_names(catalogue: Catalogue) -> None:
    """The first request is refused for one fault, at the pointer shown."""
    (shown,) = re.findall(r"^(/joints/\S+)$", TEXT, re.MULTILINE)
    with pytest.raises(Refused) as refused:
        plan_splice_point(request_from(json.loads(WRONG)), catalogue)
    assert [fault.pointer for fault in refused.value.faults] == [shown]


def test_the_plan_has_the_figures_that_were_worked_out(catalogue: Catalogue) -> None:
    """With the joints mended every value of the table stands at its place in the answer."""
    request = {**json.loads(WRONG), **json.loads(f"{{{JOINTS}}}")}
    answer: Any = json.loads(json.dumps(plan_to(plan_splice_point(request_from(request), catalogue))))
    shown = {
        place: json.loads(value) for place, value in re.findall(r"^\| `(/\S+)` \| `(.*?)` \|$", TEXT, re.MULTILINE)
    }
    assert len(shown) > 20
    found = {}
    for place in shown:
        value = answer
        for part in place[1:].split("/"):
            value = value[int(part) if isinstance(value, list) else part]
        found[place] = value
    assert found == shown
