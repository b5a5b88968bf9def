"""Plans and fit checks as documents."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest

from service.documents.numbers import amount, count, plain, rounded
from service.documents.plan import alternative_to, fit_check_to, plan_to, reason_to
from service.documents.supplies import crew_to, material_to, preparation_to, site_to
from service.domain.plan import (
    Alternative,
    BankUse,
    Bend,
    CrewTime,
    FitCheck,
    MaterialLine,
    PlacedSplice,
    Plan,
    PlannedTray,
    Preparation,
    Reason,
    SiteFit,
    Slack,
)
from service.domain.proof import Proof
from service.domain.refusal import Remedy
from service.domain.request import Rules
from service.domain.splices import RibbonEnd

REASON = Reason("stack", 108.0, 96.0, "mm", "The stack takes 108 mm; there are 96 mm.")
SPLICE = PlacedSplice(1, 1, RibbonEnd("A", 3), RibbonEnd("B", 5, fibre=49, half=2, end="out"), 12, "rs-12", 1)
TRAY = PlannedTray(
    1, "r6", True, (BankUse(1, "ribbon-12", 6, 1), BankUse(2, None, 0, 0)), (SPLICE,), (), None, 4, 118.04, None
)
PROOF = Proof(True, 1, 1, 12.0, 12.0, 0, 0, 1, 1, "a bound", 0)


def planned(**members: Any) -> dict[str, Any]:
    """The document of a plan that fits, with some members given."""
    plain_plan = {"closure": "dome-48", "rules": Rules(), "bundles": 1, "splices": 1, "trays": (TRAY,), "proof": PROOF}
    return plan_to(Plan(name="", fits=True, **{**plain_plan, **members}))


def test_a_plan_that_fits_has_trays_and_no_reasons() -> None:
    """And it names the closure with its revision."""
    document = planned(revisions={"trays/r6": 2, "closures/dome-48": 3})
    assert document["closure"] == {"code": "dome-48", "revision": 3}
    assert list(document["revisions"]) == ["closures/dome-48", "trays/r6"]
    assert len(document["trays"]) == 1
    assert {"reasons", "remedies"} & set(document) == set()


def test_a_plan_that_does_not_fit_has_reasons_and_no_trays() -> None:
    """Also where there are none to tell: the members are there."""
    remedy = Remedy("closure", "dome-72", True, "Take dome-72.")
    document = plan_to(Plan("", False, None, Rules(), 1, 1, reasons=(REASON,), remedies=(remedy,)))
    assert document["closure"] is None
    assert document["reasons"][0]["limit"] == "stack"
    assert document["remedies"] == [
        {"change": "closure", "to": "dome-72", "verified": True, "text": "Take dome-72.", "buys": False}
    ]
    assert {"trays", "proof"} & set(document) == set()


def test_an_end_says_no_more_than_there_is_to_say() -> None:
    """Fibre, half and end are told where they are set."""
    splice = planned()["trays"][0]["splices"][0]
    assert splice["from"] == {"cable": "A", "ribbon": 3}
    assert splice["to"] == {"cable": "B", "ribbon": 5, "fibre": 49, "half": 2, "end": "out"}


def test_a_bank_that_is_not_set_says_null_and_an_unknown_channel_nothing() -> None:
    """A client can tell what is undecided from what is unknown."""
    tray = planned()["trays"][0]
    assert tray["banks"][1] == {"bank": 2, "slot_kind": None, "slots": 0, "used": 0}
    assert tray["keep_apart"] is None
    assert tray["storage_used_mm2"] == 118
    assert "storage_mm2" not in tray


def test_figures_that_are_not_known_are_left_out() -> None:
    """No bend, crew or site where they were not computed; in their objects, no figure that is missing."""
    assert {"bend", "crew", "site"} & set(planned()) == set()
    document = planned(
        bend=Bend(True, {"1625": 0.0041236, "1550": 1e-9}, "table"), slack=(Slack("A", 1340.25, 2, 2100.0, 4),)
    )
    assert document["bend"] == {"ok": True, "loss_db": {"1550": 0, "1625": 0.004124}, "basis": "table"}
    assert document["slack"][0] == {
        "cable": "A",
        "stored_mm": 1340.2,
        "turns": 2,
        "sheath_opening_mm": 2100,
        "remakes_left": 4,
    }
    assert crew_to(CrewTime(4.105, 4.916, None, "strip", ()))["hours_90"] == 4.92
    assert "fits_window" not in crew_to(CrewTime(4.1, 4.9, None, "strip", ()))
    assert site_to(SiteFit(None, ()))["fits"] is None
    card = Preparation("flat", "Flat", "flat", 12, 44, 5.0, 1, None, None, 10.0, None, None, None, True)
    assert {"holder", "notes", "strip_length_mm"} & set(preparation_to(card)) == set()


def test_money_is_text_with_two_decimals_and_its_currency() -> None:
    """Never a float, and never without saying of what."""
    line = MaterialLine("sleeve", "rs-12", "Sleeve", Decimal(27), "piece", 2, "24 splices", price=Decimal("63"))
    assert (material_to(line)["price"], material_to(line)["currency"], material_to(line)["quantity"]) == (
        "63.00",
        "EUR",
        27,
    )
    other = alternative_to(Alternative("dome-48", True, 3, Decimal("310.6"), "GBP", 23.266))
    assert (other["price"], other["currency"], other["outer_dm3"]) == ("310.60", "GBP", 23.3)
    assert {"price", "currency", "trays", "outer_dm3"} & set(alternative_to(Alternative("dome-48", False))) == set()


def test_need_and_have_still_differ_when_written() -> None:
    """Three decimals, so that a limit missed by a hundredth is not told as 96 of 96."""
    document = reason_to(Reason("storage", 96.01, 96.0, "mm2", "…"))
    assert (document["need"], document["have"]) == (96.01, 96)


def test_a_fit_check_names_every_candidate() -> None:
    """The verdicts stand in the order given."""
    check = FitCheck("point", False, None, 2, 24, (Alternative("a", False, reasons=(REASON,)), Alternative("b", False)))
    document = fit_check_to(check)
    assert [candidate["closure"] for candidate in document["candidates"]] == ["a", "b"]
    assert document["candidates"][0]["reasons"][0]["need"] == 108


@pytest.mark.parametrize(
    ("value", "written"), [(900.0, "900"), (900, "900"), (0.5, "0.5"), (-0.0, "0"), (1e15, "1000000000000000")]
)
def test_a_whole_number_is_written_without_a_fraction(value: float, written: str) -> None:
    """However it was computed, the same value has the same bytes."""
    assert str(plain(value)) == written


def test_numbers_are_rounded_once() -> None:
    """One decimal for lengths, six for quantities, two for money."""
    assert (rounded(118.04), rounded(118.06), rounded(0.0041236, 6)) == (118, 118.1, 0.004124)
    assert (count(Decimal("0.3333333333")), count(Decimal("2"))) == (0.333333, 2)
    assert amount(Decimal("8.4")) == "8.40"
