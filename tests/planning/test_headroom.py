"""How much more of the same fits: so many do, one more does not."""

from __future__ import annotations

from dataclasses import replace

from service.domain.request import PlanRequest, Reserve
from service.planning.plan import check_fit, plan_splice_point
from tests.small_catalogue import fibre_joint, request_for, ribbon_joint, small_catalogue

CATALOGUE = small_catalogue()


def straight(ribbons: int) -> PlanRequest:
    """Ribbons straight through the small dome, each a bundle of its own."""
    joints = [ribbon_joint("A", f"1-{ribbons}", "B", f"1-{ribbons}")]
    request = request_for({"A": "flat-288", "B": "roll-288"}, joints, ("dome-24",), keep="none")
    return replace(request, headroom=True)


def test_the_headroom_is_what_is_left_of_three_trays_of_six() -> None:
    """36 mm are three trays of six ribbons, 18 in all: beside ten there is room for eight, and that is proven."""
    (room,) = plan_splice_point(straight(10), CATALOGUE).headroom or ()
    assert (room.form, room.fibres, room.slot_kind, room.more, room.proven) == ("ribbon", 12, "ribbon-12", 8, True)
    assert plan_splice_point(straight(18), CATALOGUE).fits
    assert not plan_splice_point(straight(19), CATALOGUE).fits


def test_a_full_closure_has_room_for_none() -> None:
    """Eighteen of eighteen."""
    (room,) = plan_splice_point(straight(18), CATALOGUE).headroom or ()
    assert (room.more, room.proven) == (0, True)


def test_a_reserve_grows_with_what_is_added() -> None:
    """18 slots and half as much again in reserve: 12 ribbons in all, and a request for one more does not fit."""
    asked = straight(8)
    half = replace(asked.rules, reserve=Reserve(50.0))
    (room,) = plan_splice_point(replace(asked, rules=half), CATALOGUE).headroom or ()
    assert (room.more, room.proven) == (4, True)
    assert plan_splice_point(replace(straight(12), rules=half), CATALOGUE).fits
    assert not plan_splice_point(replace(straight(13), rules=half), CATALOGUE).fits


def test_where_a_channel_binds_the_headroom_is_what_it_takes() -> None:
    """Channels for five splices in trays of six slots: 15 in three trays, whatever slots stay free."""
    unlimited = {code: replace(tray, storage_mm2=1e6) for code, tray in CATALOGUE.trays.items()}
    certificate = plan_splice_point(straight(12), replace(CATALOGUE, trays=unlimited)).certificate
    assert certificate is not None and not certificate.parked
    share = certificate.bundles[0].storage_um2["r6"]
    assert share
    trays = {code: replace(tray, storage_mm2=share * 5.5 / 1e6) for code, tray in CATALOGUE.trays.items()}
    (room,) = plan_splice_point(straight(12), replace(CATALOGUE, trays=trays)).headroom or ()
    assert (room.more, room.proven) == (3, True)


def test_each_kind_of_splice_has_its_own_headroom() -> None:
    """Single fibres beside ribbons: one figure for each, the other kind staying as it is."""
    joints = [ribbon_joint("A", "1-6", "B", "1-6"), fibre_joint("B", "265-268", "D", "1-4")]
    request = request_for({"A": "flat-288", "B": "roll-288", "D": "bare-8"}, joints, ("dome-24",))
    rooms = {room.form: room for room in plan_splice_point(replace(request, headroom=True), CATALOGUE).headroom or ()}
    # A tray of six and one of 24 singles stand 21 mm; the 15 mm left take one more tray of either kind.
    assert rooms["ribbon"].more == 6 and rooms["single"].more == 20 + 24


def test_it_is_told_only_where_it_is_asked_for_and_the_fit_check_tells_the_same() -> None:
    """It takes several times as long as the plan."""
    asked = straight(10)
    assert check_fit(asked, CATALOGUE).headroom == plan_splice_point(asked, CATALOGUE).headroom
    assert plan_splice_point(replace(asked, headroom=False), CATALOGUE).headroom is None
