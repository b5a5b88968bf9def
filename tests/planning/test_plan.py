"""A whole plan, worked by hand on the small catalogue, and the choice among closures."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest

from service.domain.catalogue import Catalogue, Included
from service.domain.plan import Plan
from service.domain.request import (
    Crew,
    ExistingBank,
    ExistingTray,
    PlanRequest,
    Reserve,
    Site,
)
from service.planning.plan import check_fit, plan_splice_point
from tests.small_catalogue import fibre_joint, request_for, ribbon_joint, small_catalogue

CATALOGUE = small_catalogue()


def backbone(**rules: object) -> PlanRequest:
    """Two 288-fibre cables, a branch kept apart, four single fibres to a drop."""
    return request_for(
        {"A": "flat-288", "B": "roll-288", "C": "drop-24", "D": "bare-8"},
        [
            ribbon_joint("A", "1-22", "B", "1-22"),
            ribbon_joint("A", "23-24", "C", "1-2", keep_apart="lease"),
            fibre_joint("B", "277-280", "D", "1-4"),
        ],
        **{"reserve": Reserve(20.0), "rework": 0.05, **rules},
    )


def test_the_backbone_point_is_planned_as_by_hand() -> None:
    """Bundles 6+6+6+4 by tube pairs, 2 kept apart, 4 single: 24 ribbon slots and 5 in reserve want five banks of six,
    4 single and 1 in reserve one bank of twelve. Six banks are three trays of two (54 mm); two trays give four."""
    plan = plan_splice_point(backbone(), CATALOGUE)
    assert plan.fits and plan.closure == "dome-48"
    assert (plan.bundles, plan.splices) == (6, 28)
    assert [tray.tray for tray in plan.trays] == ["r12", "r12", "r12"]
    assert plan.proof is not None and plan.proof.optimal
    assert (plan.proof.trays, plan.proof.lower_bound, plan.proof.stack_mm, plan.proof.pieces) == (3, 3, 54.0, 6)
    assert [(held.slot_kind, held.asked) for held in plan.reserve] == [("ribbon-12", 5), ("single", 1)]
    assert all(held.free >= held.asked for held in plan.reserve)


def test_slack_of_the_backbone_point_is_as_by_hand() -> None:
    """A ribbon loses 50 mm an attempt (shipped method): 900 + 2 x 50 = 1000 needed; entry 200 and turns of 400: two
    turns, 1000 stored; (1000 - 900) / 50 leaves 2 remakes; opening 700 + 1000 in steps of 50: 1700.
    Single fibres lose 40: 980 needed, two turns too."""
    plan = plan_splice_point(backbone(), CATALOGUE)
    by_tag = {slack.cable: slack for slack in plan.slack}
    assert {tag: (s.stored_mm, s.turns, s.sheath_opening_mm, s.remakes_left) for tag, s in by_tag.items()} == {
        "A": (1000.0, 2, 1700.0, 2),
        "B": (1000.0, 2, 1700.0, 2),
        "C": (1000.0, 2, 1700.0, 2),
        "D": (1000.0, 2, 1700.0, 2),
    }


def test_sleeves_of_the_backbone_point_are_the_published_ones() -> None:
    """24 splices at 5 % and 95 %: 27 sleeves (exact negative binomial, held against SciPy in the tests of spares)."""
    plan = plan_splice_point(backbone(), CATALOGUE)
    by_code = {count.sleeve: count for count in plan.sleeves}
    assert (by_code["rs-12"].splices, by_code["rs-12"].quantity, by_code["rs-12"].spares) == (24, 27, 3)
    assert by_code["rs-12"].packs == 3
    assert by_code["s1-40"].splices == 4


def test_bend_of_the_backbone_point_is_within_the_table() -> None:
    """Worst splice G.657.A1 to A2 at 30 mm, by the rows of 15 mm (10 turns: 0.25 and 1.0 dB; 0.03 and 0.1 dB): at
    1625 nm 2 turns x 0.1 + 2 x 0.01 = 0.22, at 1550 2 x 0.025 + 2 x 0.003 = 0.056 (ITU-T G.657, macrobend tables)."""
    plan = plan_splice_point(backbone(), CATALOGUE)
    assert plan.bend is not None and plan.bend.ok
    assert plan.bend.loss_db["1625"] == pytest.approx(0.22)
    assert plan.bend.loss_db["1550"] == pytest.approx(0.056)


def slots_of(plan: Plan) -> list[tuple[int, int, int]]:
    """(position, bank, slot) of every splice."""
    return [(tray.position, s.bank, s.slot) for tray in plan.trays for s in tray.splices]


def test_every_splice_lies_in_a_slot_of_its_own_within_its_bank() -> None:
    """No slot twice, no slot beyond its bank, all splices placed, labels in trays of their own."""
    plan = plan_splice_point(backbone(), CATALOGUE)
    places = slots_of(plan)
    assert len(places) == len(set(places)) == plan.splices
    for tray in plan.trays:
        for splice in tray.splices:
            bank = tray.banks[splice.bank - 1]
            assert 1 <= splice.slot <= bank.slots
        assert [b.used for b in tray.banks] == [sum(s.bank == b.bank for s in tray.splices) for b in tray.banks]
    assert [tray.keep_apart for tray in plan.trays].count("lease") == 1


def test_the_same_request_and_catalogue_give_the_same_plan() -> None:
    """Equal, member by member."""
    assert plan_splice_point(backbone(), CATALOGUE) == plan_splice_point(backbone(), small_catalogue())


def test_where_the_closure_is_open_the_cheapest_that_fits_is_planned() -> None:
    """dome-24 is too low, dome-48 (150 + 105) undercuts line-96 (300 + 105); each other one gets its verdict."""
    plan = plan_splice_point(replace(backbone(), closures=()), CATALOGUE)
    assert plan.closure == "dome-48"
    verdicts = {other.closure: other for other in plan.alternatives}
    assert verdicts["line-96"].fits and verdicts["line-96"].price == Decimal("405.00")
    assert not verdicts["dome-24"].fits
    assert "stack" in {reason.limit for reason in verdicts["dome-24"].reasons}


def test_without_prices_the_smaller_outside_is_taken() -> None:
    """By outer volume where a candidate has no price."""
    closures = {code: replace(closure, price=None) for code, closure in CATALOGUE.closures.items()}
    catalogue = replace(CATALOGUE, closures=closures)
    plan = plan_splice_point(replace(backbone(), closures=("line-96", "dome-48")), catalogue)
    assert plan.closure == "dome-48"


def test_trays_in_the_closures_box_are_not_paid_again() -> None:
    """With three trays in its box the dearer closure is the cheaper buy: 160 against 150 + 105."""
    line = replace(CATALOGUE.closures["line-96"], price=Decimal("160.00"), includes=(Included("r12", Decimal(3)),))
    catalogue = replace(CATALOGUE, closures={**CATALOGUE.closures, "line-96": line})
    plan = plan_splice_point(replace(backbone(), closures=()), catalogue)
    assert plan.closure == "line-96"
    tray_line = next(line for line in plan.materials if line.kind == "tray")
    assert (tray_line.quantity, tray_line.included, tray_line.packs) == (Decimal(3), Decimal(3), 0)


def test_a_point_that_does_not_fit_says_what_it_needs_and_has() -> None:
    """Eight trays of 12 mm and more than 36 mm of stack: need and have, and remedies that were solved again."""
    plan = plan_splice_point(replace(backbone(), closures=("dome-24",)), CATALOGUE)
    assert not plan.fits and not plan.trays and plan.closure == "dome-24"
    stack = next(reason for reason in plan.reasons if reason.limit == "stack")
    assert stack.need > stack.have == 36.0 and stack.unit == "mm"
    assert {"closure", "splices"} <= {remedy.change for remedy in plan.remedies}
    assert all(remedy.verified for remedy in plan.remedies)
    to = next(remedy.to for remedy in plan.remedies if remedy.change == "closure")
    assert plan_splice_point(replace(backbone(), closures=(to,)), CATALOGUE).fits


def test_a_remedy_of_fewer_splices_names_the_most_that_fit() -> None:
    """So many fit; one more does not."""
    request = request_for({"A": "flat-288", "B": "roll-288"}, [ribbon_joint("A", "1-24", "B", "1-24")], ("dome-24",))
    plan = plan_splice_point(request, CATALOGUE)
    most = int(next(remedy.to for remedy in plan.remedies if remedy.change == "splices"))
    assert most == 18  # three trays of six ribbons in 36 mm
    fewer = replace(request, joints=(ribbon_joint("A", f"1-{most}", "B", f"1-{most}"),))
    more = replace(request, joints=(ribbon_joint("A", f"1-{most + 1}", "B", f"1-{most + 1}"),))
    assert plan_splice_point(fewer, CATALOGUE).fits and not plan_splice_point(more, CATALOGUE).fits


def test_a_smaller_reserve_is_offered_where_it_is_enough() -> None:
    """18 ribbons fill 18 slots of 36 mm; with 40 % on top they do not, and 0 % is the largest reserve that does."""
    request = request_for(
        {"A": "flat-288", "B": "roll-288"},
        [ribbon_joint("A", "1-18", "B", "1-18")],
        ("dome-24",),
        reserve=Reserve(40.0),
    )
    plan = plan_splice_point(request, CATALOGUE)
    assert ("reserve", "0") in {(remedy.change, remedy.to) for remedy in plan.remedies}


def test_a_fit_check_gives_the_verdict_of_the_plan_for_every_candidate() -> None:
    """Same verdicts, same choice, no map."""
    request = replace(backbone(), closures=())
    fit = check_fit(request, CATALOGUE)
    plan = plan_splice_point(request, CATALOGUE)
    assert (fit.fits, fit.closure, fit.bundles, fit.splices) == (True, plan.closure, plan.bundles, plan.splices)
    assert {c.closure: c.fits for c in fit.candidates} == {
        **{a.closure: a.fits for a in plan.alternatives},
        "dome-48": True,
    }


def test_too_few_ports_do_not_fit_whatever_the_trays() -> None:
    """dome-24 has four round ports; six drops need six."""
    cables = {"F": "flat-288", **{f"D{n}": "drop-24" for n in range(6)}}
    joints = [ribbon_joint("F", str(n + 1), f"D{n}", "1") for n in range(6)]
    plan = plan_splice_point(request_for(cables, joints, ("dome-24",)), CATALOGUE)
    (reason,) = [reason for reason in plan.reasons if reason.limit == "ports"]
    assert (reason.need, reason.have) == (7, 4)


def test_a_tray_that_bends_too_tight_is_refused_with_the_radius() -> None:
    """G.652.D is stored at 30 mm or more; a tray of 29.9 mm is refused, one of 30.0 is not."""

    def with_radius(radius: float) -> Catalogue:
        trays = {code: replace(tray, bend_radius_mm=radius) for code, tray in CATALOGUE.trays.items()}
        return replace(CATALOGUE, trays=trays)

    assert plan_splice_point(backbone(), with_radius(30.0)).fits
    plan = plan_splice_point(backbone(), with_radius(29.9))
    assert {(reason.limit, reason.need, reason.have) for reason in plan.reasons} == {("bend", 30.0, 29.9)}


def test_a_full_channel_makes_for_more_trays_and_says_so() -> None:
    """A channel that takes one splice's turns only leaves no room for six in a tray."""
    roomy = plan_splice_point(backbone(), CATALOGUE)
    share = max(tray.storage_used_mm2 / max(len(tray.splices), 1) for tray in roomy.trays)
    trays = {code: replace(tray, storage_mm2=share * 1.5) for code, tray in CATALOGUE.trays.items()}
    plan = plan_splice_point(backbone(), replace(CATALOGUE, trays=trays))
    assert not plan.fits
    assert "storage" in {reason.limit for reason in plan.reasons}


def test_hanging_trays_are_used_before_new_ones_are_bought() -> None:
    """Two free ribbon slots of a hanging tray take two splices; what lies there keeps its slots."""
    request = request_for({"A": "flat-288", "C": "drop-24"}, [ribbon_joint("A", "1-2", "C", "1-2")])
    hanging = ExistingTray("r6", (ExistingBank(1, "ribbon-12", 4),), storage_used_mm2=50.0, ribbons=8)
    plan = plan_splice_point(replace(request, existing_trays=(hanging,)), CATALOGUE)
    (tray,) = plan.trays
    assert not tray.new and [(s.bank, s.slot) for s in tray.splices] == [(1, 5), (1, 6)]
    assert plan.proof is not None and (plan.proof.trays, plan.proof.opened) == (0, 1)
    assert not any(line.kind in ("closure", "tray") for line in plan.materials)


def test_the_price_of_the_trays_can_be_minimised_and_is_proven() -> None:
    """12 ribbons: two r6 at 20.00 each beat... one r12 at 35.00 is cheaper than 40.00."""
    request = request_for(
        {"A": "flat-288", "B": "roll-288"}, [ribbon_joint("A", "1-12", "B", "1-12")], minimise="price"
    )
    plan = plan_splice_point(request, CATALOGUE)
    assert plan.proof is not None and plan.proof.optimal
    assert (plan.proof.cost, plan.proof.cost_lower_bound) == (Decimal("35.00"), Decimal("35.00"))


def test_crew_and_site_are_answered_where_asked() -> None:
    """Hours with their 90 % figure, and coils for the cables that have slack."""
    request = backbone()
    cables = tuple(replace(cable, slack_m=15.0) for cable in request.cables)
    asked = replace(request, cables=cables, crew=Crew(window_h=8.0), site=Site("vault", 2000.0, 1300.0, 2000.0))
    plan = plan_splice_point(asked, CATALOGUE)
    assert plan.crew is not None and 0 < plan.crew.hours_median <= plan.crew.hours_90
    assert plan.site is not None and len(plan.site.coils) == 4
    assert plan_splice_point(request, CATALOGUE).crew is None


def test_the_plan_names_the_revisions_it_was_made_from() -> None:
    """Cables, closure, its trays and the sleeves used."""
    catalogue = replace(CATALOGUE, revisions={"trays/r12": 7})
    plan = plan_splice_point(backbone(), catalogue)
    assert plan.revisions is not None
    assert plan.revisions["trays/r12"] == 7
    assert {"closures/dome-48", "cables/flat-288", "sleeves/rs-12"} <= set(plan.revisions)


def test_rules_of_an_owner_bind_where_they_are_asked() -> None:
    """Rated fibres for all that enters, spare entries, spare trays."""
    closure = replace(CATALOGUE.closures["dome-48"], rated_ribbon_fibres=576, rated_single_fibres=24)
    catalogue = replace(CATALOGUE, closures={**CATALOGUE.closures, "dome-48": closure})
    rated = plan_splice_point(backbone(rated_for_all=True), catalogue)
    assert {(r.limit, r.need, r.have) for r in rated.reasons} == {("capacity", 600, 576)}
    spare = plan_splice_point(backbone(spare_entries=3), CATALOGUE)
    assert {r.limit for r in spare.reasons} == {"entries"}
    assert plan_splice_point(backbone(spare_trays=2), CATALOGUE).fits
    assert not plan_splice_point(backbone(spare_trays=9), CATALOGUE).fits


def test_retired_trays_are_left_out_of_new_plans() -> None:
    """The closure still names the tray; the plan does without and says so."""
    trays = {code: tray for code, tray in CATALOGUE.trays.items() if code != "r12"}
    catalogue = replace(CATALOGUE, trays=trays, retired=frozenset({"trays/r12"}))
    plan = plan_splice_point(backbone(), catalogue)
    assert plan.fits and "r12" not in {tray.tray for tray in plan.trays}
    assert any("r12 is retired" in note for note in plan.notes)
