"""Remedies: each makes it fit when it is carried out, the cheapest first."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest

from service.domain.catalogue import Bank, Catalogue, Sleeve, TrayAllowance
from service.domain.plan import Plan
from service.domain.refusal import Remedy
from service.domain.request import PlanRequest, Reserve
from service.planning.mending.port_kit import with_kit
from service.planning.plan import plan_splice_point
from service.planning.remedies import in_order
from tests.planning.mending.points import CATALOGUE, straight, with_stack
from tests.small_catalogue import request_for, ribbon_joint


def remedies(request: PlanRequest, catalogue: Catalogue = CATALOGUE) -> dict[str, Remedy]:
    """The remedies of a point that does not fit, by what they change."""
    plan = plan_splice_point(request, catalogue)
    assert not plan.fits
    return {remedy.change: remedy for remedy in plan.remedies}


def fits(request: PlanRequest, catalogue: Catalogue = CATALOGUE) -> bool:
    """Whether it fits."""
    return plan_splice_point(request, catalogue).fits


def test_the_largest_reserve_that_fits() -> None:
    """12 of 18 slots: half as much again would be 18, and 60 % is asked."""
    request = straight(12, reserve=Reserve(60.0))
    assert remedies(request)["reserve"].amount == 50
    assert fits(straight(12, reserve=Reserve(50.0))) and not fits(straight(12, reserve=Reserve(51.0)))


def in_channels(mm2: float) -> Catalogue:
    """The catalogue with a channel of that cross-section in every tray."""
    return replace(CATALOGUE, trays={c: replace(t, storage_mm2=mm2) for c, t in CATALOGUE.trays.items()})


@pytest.mark.parametrize(("change", "rule", "step"), [("reach", "reach_mm", 50), ("remakes", "remakes", 1)])
def test_shorter_ends_where_the_channel_is_full(change: str, rule: str, step: int) -> None:
    """The most of reach and of remakes that fits; one step more does not."""
    request, catalogue = straight(18, reach_mm=1500.0, remakes=12), in_channels(90.0)
    found = remedies(request, catalogue)[change]
    assert found.amount is not None and not found.buys

    def with_rule(value: int) -> PlanRequest:
        return replace(request, rules=replace(request.rules, **{rule: value}))  # type: ignore[arg-type]

    assert fits(with_rule(found.amount), catalogue) and not fits(with_rule(found.amount + step), catalogue)


def test_the_bundle_to_divide_is_named() -> None:
    """Bundles of 4, 4, 4 and 6 in three trays of six: with the six divided, the free slots of the others take it."""
    joints = [ribbon_joint("A", a, "B", b) for a, b in (("1-4", "1-4"), ("7-10", "5-8"), ("13-16", "13-16"))]
    joints.append(ribbon_joint("A", "19-24", "B", "17-22"))
    request = request_for({"A": "flat-288", "B": "roll-288"}, joints, ("dome-24",), split="never")
    found = remedies(request)["split"]
    assert (found.to, found.names, found.amount) == ("free", ("4",), 1)
    assert "ribbons 19-24 of A (tube 4)" in found.text
    assert fits(replace(request, rules=replace(request.rules, split="free")))


def test_as_few_labels_as_are_needed_are_given_up() -> None:
    """Four labels in three trays: one of them has to share."""
    joints = [ribbon_joint("A", str(n), "B", str(n), keep_apart=f"owner {n}") for n in (1, 2, 3, 4)]
    request = request_for({"A": "flat-288", "B": "roll-288"}, joints, ("dome-24",))
    found = remedies(request)["keep_apart"]
    assert (found.names, found.to) == (("owner 1",), "owner 1")
    shared = [replace(joints[0], keep_apart=None), *joints[1:]]
    assert fits(replace(request, joints=tuple(shared)))


def test_further_positions_cost_their_trays() -> None:
    """24 ribbons with a quarter in reserve are five trays of six; two more positions of 12 mm, at 20.00 a tray."""
    request = straight(24, reserve=Reserve(25.0))
    found = remedies(request)["stack"]
    assert (found.to, found.amount, found.cost, found.currency) == ("r6", 2, Decimal("40.00"), "EUR")
    dome = CATALOGUE.closures["dome-24"]
    higher = replace(dome, stack_mm=60.0, trays=(TrayAllowance("r6", 5), TrayAllowance("s24", 3)))
    assert fits(request, replace(CATALOGUE, closures={"dome-24": higher}))


def test_more_of_a_tray_where_only_its_number_binds() -> None:
    """A stack of 60 mm would take five, the closure three."""
    catalogue = with_stack(CATALOGUE, "dome-24", 60.0)
    found = remedies(straight(24), catalogue)
    assert (found["tray_count"].to, found["tray_count"].amount) == ("r6", 1)
    assert "stack" not in found


def test_another_tray_is_named_where_the_closure_does_not_take_it() -> None:
    """Two trays of twelve ribbons, 18 mm high, would do in 36 mm for 24 ribbons: 70.00."""
    found = remedies(straight(24))["tray_kind"]
    assert (found.to, found.amount, found.cost) == ("r12", 2, Decimal("70.00"))
    dome = replace(CATALOGUE.closures["dome-24"], trays=(TrayAllowance("r12", 2),))
    assert fits(straight(24), replace(CATALOGUE, closures={"dome-24": dome}))


def test_another_closure_costs_the_difference_of_the_two() -> None:
    """150.00 less 90.00; cheaper ones have a cost below 0."""
    found = remedies(straight(24))["closure"]
    assert (found.to, found.cost) == ("dome-48", Decimal("60.00"))
    cheap = replace(CATALOGUE.closures["dome-48"], price=Decimal("70.00"))
    catalogue = replace(CATALOGUE, closures={**CATALOGUE.closures, "dome-48": cheap})
    assert remedies(straight(24), catalogue)["closure"].cost == Decimal("-20.00")


def test_the_port_kit_has_as_few_entries_as_will_do() -> None:
    """Six drops and a feeder for four entries: three more, for cables of 9 mm."""
    cables = {"F": "flat-288", **{f"D{n}": "drop-24" for n in range(6)}}
    joints = [ribbon_joint("F", str(n + 1), f"D{n}", "1") for n in range(6)]
    request = request_for(cables, joints, ("dome-24",))
    found = remedies(request)["ports"]
    assert found.kit is not None and found.buys and found.cost is None
    assert (found.amount, found.kit.entries, found.kit.od_min_mm, found.kit.od_max_mm) == (3, 3, 9.0, 9.0)
    assert found.kit.cables == ("D3", "D4", "D5")

    def with_entries(entries: int) -> Catalogue:
        assert found.kit is not None
        closure = with_kit(CATALOGUE.closures["dome-24"], replace(found.kit, entries=entries))
        return replace(CATALOGUE, closures={"dome-24": closure})

    assert fits(request, with_entries(3)) and not fits(request, with_entries(2))


def two_classes() -> Catalogue:
    """Trays with three slots for twelves and three for 24s, and the small dome with three of them."""
    trays = {
        "mix": replace(CATALOGUE.trays["r6"], code="mix", banks=(Bank(1, {"ribbon-12": 3}), Bank(1, {"ribbon-24": 3})))
    }
    dome = replace(CATALOGUE.closures["dome-24"], trays=(TrayAllowance("mix", 3),))
    return replace(CATALOGUE, trays=trays, closures={"dome-24": dome})


def test_a_larger_sleeve_where_its_slots_are_free() -> None:
    """Eleven twelves for nine slots, and nine slots for 24s that stay empty: two take the larger sleeve."""
    request = straight(11, keep="none")
    found = remedies(request, two_classes())["sleeve"]
    assert (found.names, found.to, found.amount) == (("rs-12", "rs-24"), "rs-24", 2)
    sleeves: dict[str, Sleeve] = {code: CATALOGUE.sleeves[code] for code in found.names}
    each = {code: (sleeve.price or Decimal(0)) / sleeve.pack_of for code, sleeve in sleeves.items()}
    assert found.cost == (2 * (each["rs-24"] - each["rs-12"])).quantize(Decimal("0.01"))


def test_ribbons_of_24_as_twelves_where_no_slot_takes_them_whole() -> None:
    """The joint's own member does it, and the plan with it fits."""
    joints = [ribbon_joint("A", "1-3", "B", "1-3")]
    request = request_for({"A": "flat-24s", "B": "flat-24s"}, joints, ("line-96",))
    found = remedies(request)["split_ribbons"]
    assert (found.names, found.amount) == (("/joints/0",), 6)
    split = replace(joints[0], split_ribbons=True)
    assert fits(replace(request, joints=(split,)))


def test_they_are_ranked_by_cost() -> None:
    """Rules first, then by cost, then what has none known, fewer splices last; another currency is not known."""
    told = [
        Remedy("splices", "3", True, "part", amount=3),
        Remedy("ports", "x", True, "kit", buys=True),
        Remedy("closure", "c", True, "closure", cost=Decimal(5), currency="EUR", buys=True),
        Remedy("stack", "t", True, "stack", cost=Decimal(9), currency="EUR", buys=True),
        Remedy("tray_kind", "u", True, "tray", cost=Decimal(1), currency="USD", buys=True),
        Remedy("keep_apart", "l", True, "label"),
        Remedy("reserve", "0", True, "reserve"),
    ]
    assert [each.change for each in in_order(told)] == [
        "reserve", "keep_apart", "closure", "stack", "tray_kind", "ports", "splices",
    ]  # fmt: skip


def test_where_several_closures_were_judged_the_text_says_which() -> None:
    """The plan names no closure then."""
    request = replace(straight(24), closures=())
    catalogue = replace(
        CATALOGUE, closures={"dome-24": CATALOGUE.closures["dome-24"], "dome-20": replace(
            CATALOGUE.closures["dome-24"], code="dome-20", stack_mm=24.0)},
    )  # fmt: skip
    plan = plan_splice_point(request, catalogue)
    assert plan.closure is None and plan.largest_part is not None
    assert (plan.largest_part.closure, plan.largest_part.splices) == ("dome-24", 18)
    assert all("dome-24" in r.text for r in plan.remedies if r.change in ("stack", "tray_kind", "splices"))


def undecided(monkeypatch: pytest.MonkeyPatch) -> Plan:
    """A plan whose packing ended undecided."""
    from service.planning import judge
    from service.planning.packing import Packing

    monkeypatch.setattr(judge, "solve", lambda problem, *_: Packing(fits=None, nodes=40_000))
    return plan_splice_point(straight(24), CATALOGUE)


def test_what_is_not_known_is_not_mended(monkeypatch: pytest.MonkeyPatch) -> None:
    """The reason says that it is not known; there are no remedies and no parts."""
    plan = undecided(monkeypatch)
    assert not plan.fits and [reason.limit for reason in plan.reasons] == ["undecided"]
    assert "it is not known whether" in plan.reasons[0].text
    assert (plan.remedies, plan.largest_part, plan.largest_part_undivided) == ((), None, None)
