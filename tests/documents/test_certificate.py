"""The certificate says what the plan was made from, in whole numbers, under the names that are published."""

from __future__ import annotations

import json
from dataclasses import replace
from typing import Any

from service.api.spec import load_spec
from service.documents.plan import plan_to
from service.domain.catalogue import Catalogue
from service.domain.request import ExistingBank, ExistingTray, PlanRequest, Reserve
from service.planning.plan import plan_splice_point
from tests.small_catalogue import fibre_joint, request_for, ribbon_joint, small_catalogue


def certificate_for(request: PlanRequest, catalogue: Catalogue) -> dict[str, Any]:
    """The certificate of a request's plan."""
    found: dict[str, Any] = plan_to(plan_splice_point(request, catalogue))["certificate"]
    return found


def two_joints(**more: Any) -> PlanRequest:
    """Six ribbons under a label, four single fibres and a hanging tray."""
    joints = [ribbon_joint("A", "1-6", "B", "1-6", keep_apart="lease"), fibre_joint("B", "277-280", "E", "1-4")]
    request = request_for({"A": "flat-288", "B": "roll-288", "E": "drop-24"}, joints, ("line-96",), **more)
    found = ExistingTray("r12", (ExistingBank(2, "single", 3),), None, 4.25, 2)
    return replace(request, existing_trays=(found,))


def test_heights_are_whole_numbers_of_a_unit_that_is_told() -> None:
    """A pitch of 12.5 mm makes the unit a tenth of a millimetre, for every height."""
    catalogue = small_catalogue()
    trays = {**catalogue.trays, "s24": replace(catalogue.trays["s24"], pitch_mm=12.5)}
    facts = certificate_for(two_joints(), replace(catalogue, trays=trays))
    assert facts["units_per_mm"] == 10
    assert facts["stack"] == 2000
    assert {tray["tray"]: tray["pitch"] for tray in facts["trays"]} == {"r12": 180, "s24": 125}


def test_bundles_stand_in_the_order_in_which_the_splices_name_them() -> None:
    """Each with its sleeve, slot kind, size, label and ribbon ends a splice."""
    facts = certificate_for(two_joints(), small_catalogue())
    told = [
        (b["bundle"], b["sleeve"], b["slot_kind"], b["fibres"], b["splices"], b["keep_apart"], b["ribbon_ends"])
        for b in facts["bundles"]
    ]
    assert told == [
        (1, "rs-12", "ribbon-12", 12, 6, "lease", 2),
        (2, "s1-40", "single", 1, 4, None, 0),
    ]


def test_a_tray_that_may_not_hold_a_bundle_is_null_and_a_channel_that_is_not_told_takes_its_share_all_the_same() -> (
    None
):
    """Ribbons have no slot in s24. In r12 a splice takes turns x cross-section / fill of both sides, worked by hand.

    A's method cuts back 40 mm and B's 50 mm an attempt: 900 + 2 x 40 = 980 and 900 + 2 x 50 = 1000 mm a side, less
    200 mm of entry two turns of 400 mm each. Flat, 12 fibres: 3.22 x 0.36 mm (as in the ribbon table); rolled: 12
    rounds of 0.2 mm. At a fill of a half, (1.1592 + 0.376992) x 2 / 0.5 = 6.144768 mm².
    """
    (ribbons, singles) = certificate_for(two_joints(), small_catalogue())["bundles"]
    assert ribbons["storage_um2"] == {"r12": 6_144_768, "s24": None}
    assert singles["storage_um2"]["s24"] is not None


def test_hanging_trays_and_the_reserve_are_written_as_they_were_taken() -> None:
    """The bank in use, the channel used in whole µm², and 25 % of six and of four, rounded up."""
    facts = certificate_for(two_joints(reserve=Reserve(25.0, "stack")), small_catalogue())
    assert facts["hanging"] == [
        {
            "position": 1,
            "tray": "r12",
            "banks": [{"bank": 2, "slot_kind": "single", "used": 3}],
            "keep_apart": None,
            "storage_um2": 4_250_000,
            "ribbons": 2,
        }
    ]
    assert facts["reserve"] == {"in": "stack", "asked": {"ribbon-12": 2, "single": 1}}


def test_rework_is_told_by_splices_as_the_spares_were_counted() -> None:
    """A rate of the request stands for every splice of a sleeve."""
    facts = certificate_for(two_joints(rework=0.05), small_catalogue())
    told = {sleeve["sleeve"]: sleeve["rework"] for sleeve in facts["sleeves"]}
    assert told == {
        "rs-12": [{"splices": 6, "rate": 0.05, "form": "rollable"}],
        "s1-40": [{"splices": 4, "rate": 0.05, "form": "single"}],
    }


def test_a_plan_that_does_not_fit_has_no_certificate() -> None:
    """There is no packing to certify."""
    request = request_for({"A": "flat-288", "B": "flat-288"}, [ribbon_joint("A", "1-24", "B", "1-24")], ("dome-24",))
    document = plan_to(plan_splice_point(request, small_catalogue()))
    assert document["fits"] is False
    assert "certificate" not in document


def test_a_certificate_is_what_the_description_promises() -> None:
    """Every member is described, none is missing, for hanging trays and parked ends as well."""
    facts = json.loads(json.dumps(certificate_for(two_joints(), small_catalogue())))
    assert facts["parked"] and facts["hanging"]
    assert [str(error) for error in load_spec().validator("Certificate").iter_errors(facts)] == []
