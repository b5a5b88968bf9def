"""What a filled-in form asks for, as a request document."""

from __future__ import annotations

from typing import Any
from urllib.parse import urlencode

import pytest
from flask.testing import FlaskClient
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from service.documents.catalogue import entry_from
from service.domain.catalogue import Catalogue
from service.pages.fit_request import request_of
from service.pages.fit_rows import filled, number_in, range_in
from tests.pages.test_fit import HANDHOLE


@pytest.fixture
def cables(catalogue: dict[str, Any]) -> Catalogue:
    """A catalogue of the small one's cables."""
    return Catalogue(cables={each["code"]: entry_from("cables", each) for each in catalogue["cables"]})


def test_a_form_filled_in_like_the_handhole_asks_for_the_handhole(cables: Catalogue, handhole: dict[str, Any]) -> None:
    """Name, closure, cables, joints, crew and place come out as the description's own example says them."""
    document = request_of(filled(HANDHOLE), cables).document
    for member in ("name", "closures", "cables", "joints", "site"):
        assert document[member] == handhole[member]
    assert document["crew"] == {"window_h": 6} and document["rules"] == {"reserve": {"percent": 20, "in": "trays"}}


def test_rows_that_nobody_touched_ask_for_nothing(cables: Catalogue) -> None:
    """Blank cables and blank joints are left out, and pointers lead to the rows that were filled in."""
    form = filled({"cables": "4", "joints": "3", "cable-4": "drop-24", "from-range-1": "", "to-range-1": ""})
    fields = request_of(form, cables)
    # A and B are named by the joints as they stand, so they are asked for; C is not.
    assert [each["tag"] for each in fields.document["cables"]] == ["A", "B", "D"]
    assert fields.document["joints"] == []
    last = len(fields.document["cables"]) - 1
    assert fields.field_of(f"/cables/{last}/cable") == "cable-4"


def test_loose_fibres_are_counted_in_fibres_and_ribbons_in_ribbons(cables: Catalogue) -> None:
    """Where nothing is said, two ribbon cables are joined by ribbons; what is chosen is taken as it is."""
    texts = {"cable-1": "flat-288", "cable-2": "roll-288"}
    assert "ribbons" in request_of(filled(texts), cables).document["joints"][0]["from"]
    loose = Catalogue(cables={code: _loose(cable) for code, cable in cables.cables.items()})
    assert "fibres" in request_of(filled(texts), loose).document["joints"][0]["from"]
    assert "ribbons" in request_of(filled({**texts, "unit-1": "ribbons"}), loose).document["joints"][0]["from"]


def _loose(cable: Any) -> Any:
    from dataclasses import replace

    return replace(cable, ribbon_form="loose", ribbon_fibres=12, ribbonise=None)


def test_numbers_are_taken_as_they_are_typed_on_a_phone() -> None:
    """A comma for a point, dashes and spaces in ranges; what is no number stays text, for the schema to refuse."""
    assert (number_in("15"), number_in("1,5"), number_in("-2.25")) == (15, 1.5, -2.25)
    assert [number_in(text) for text in ("1e9", "much", "NaN", "1" * 20)] == ["1e9", "much", "NaN", "1" * 20]
    assert range_in(" 1 – 4; 9-12 ") == "1-4,9-12"


NAMES = st.sampled_from([*HANDHOLE, "tag-1", "tag-2", "express-1", "from-end-1", "halves-1", "keep", "remakes", "more"])
TEXTS = st.one_of(
    st.text(max_size=12), st.sampled_from(["1-12", "A", "on", "out", "roll-288", "0", "-1", "99999999", ""])
)


@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.dictionaries(NAMES, TEXTS, max_size=6))
def test_whatever_is_typed_gets_an_answer(browser: FlaskClient, texts: dict[str, str]) -> None:
    """Over drawn fillings-in, the page is a verdict or a 422 that says what to put right; never a failure of ours."""
    answer = browser.get(f"/fit?{urlencode({**HANDHOLE, **texts}, errors='surrogatepass')}")
    assert answer.status_code in (200, 422)
    page = answer.get_data(as_text=True)
    assert ("Not in order" in page) == (answer.status_code == 422)
