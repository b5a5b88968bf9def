"""Crew time: a flow line of people and machines, with rework."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from service.domain.catalogue import Method
from service.domain.request import Crew
from service.planning.crew import crew_time
from service.planning.crew_line import CrewLoad
from service.planning.spares import remakes_within
from service.standards.methods import SHIPPED
from tests.planning.entries import method

_BARE = Crew(setup_min=0, cable_prep_min=0, closing_min=0)


def _method(prepare_s: float, fuse_s: float, heat_s: float, lay_s: float) -> Method:
    """A method whose stages before fusing take so long for both ends together."""
    return method(
        strip_dwell_s=0.0,
        strip_repeats=1,
        clean_s=prepare_s / 2,
        cleave_s=0.0,
        fuse_s=fuse_s,
        heat_s=heat_s,
        lay_s=lay_s,
    )


def _seconds(crew: Crew, *loads: CrewLoad) -> float:
    return crew_time(crew, loads, 0).hours_median * 3600


def test_a_lone_technician_does_all_but_the_heating_in_turn() -> None:
    """Ten splices of 100 + 50 + 30 s by hand; the last sleeve's 40 s in the heater are waited out (CALC)."""
    assert _seconds(_BARE, CrewLoad(_method(100, 50, 40, 30), 10, 0.0)) == pytest.approx(10 * 180 + 40)


def test_a_slow_heater_sets_the_pace() -> None:
    """Heating for 300 s outlasts the 180 s by hand: ten times the heater, and one round by hand (CALC)."""
    found = crew_time(_BARE, [CrewLoad(_method(100, 50, 300, 30), 10, 0.0)], 0)
    assert found.hours_median * 3600 == pytest.approx(180 + 10 * 300)
    assert found.bottleneck == "heat"


def test_two_heaters_halve_the_pace_of_heating_but_not_one_sleeves_time() -> None:
    """The line then runs at 180 s by hand, and drains through one full heating."""
    crew = replace(_BARE, heaters=2)
    assert _seconds(crew, CrewLoad(_method(100, 50, 300, 30), 10, 0.0)) == pytest.approx(9 * 180 + 480)


def test_with_two_technicians_one_prepares_while_the_other_fuses() -> None:
    """The slower of 100 s and 80 s sets the pace: 9 x 100 s and one whole round (CALC)."""
    crew = replace(_BARE, technicians=2)
    assert _seconds(crew, CrewLoad(_method(100, 50, 40, 30), 10, 0.0)) == pytest.approx(9 * 100 + 220)


def test_two_technicians_with_a_splicer_each_work_side_by_side() -> None:
    """Each does whole splices: one every 90 s between them."""
    crew = replace(_BARE, technicians=2, splicers=2)
    assert _seconds(crew, CrewLoad(_method(100, 50, 40, 30), 10, 0.0)) == pytest.approx(9 * 90 + 220)


def test_the_slowest_stage_is_named() -> None:
    """Of the busiest station, the longest stage."""
    assert crew_time(_BARE, [CrewLoad(_method(100, 150, 40, 30), 10, 0.0)], 0).bottleneck == "fuse"
    assert crew_time(_BARE, [CrewLoad(_method(100, 50, 40, 30), 10, 0.0)], 0).bottleneck == "clean"
    slow_strip = replace(_method(10, 50, 40, 30), strip_dwell_s=30.0, strip_repeats=3)
    assert crew_time(_BARE, [CrewLoad(slow_strip, 10, 0.0)], 0).bottleneck == "strip"


def test_the_slowest_stage_is_that_of_all_the_work() -> None:
    """One splice of a thousand seconds' cleaning weighs less than fifty of a minute's fusing."""
    loads = [CrewLoad(_method(1000, 1, 1, 1), 1, 0.0), CrewLoad(_method(10, 60, 1, 1), 50, 0.0)]
    assert crew_time(_BARE, loads, 0).bottleneck == "fuse"


def test_technicians_are_divided_so_that_the_slower_station_is_as_fast_as_can_be() -> None:
    """Four with two splicers: fusing takes longer, so two fuse; where preparing does, three prepare."""
    crew = replace(_BARE, technicians=4, splicers=2)
    assert _seconds(crew, CrewLoad(_method(60, 100, 10, 20), 10, 0.0)) == pytest.approx(9 * 60 + 190)
    assert _seconds(crew, CrewLoad(_method(300, 60, 10, 20), 10, 0.0)) == pytest.approx(9 * 100 + 390)


def test_the_dwell_in_the_stripper_counts_for_each_cycle_and_both_ends() -> None:
    """Three cycles of 3 s instead of one add 12 s to a splice."""
    once, thrice = replace(SHIPPED["flat"], strip_repeats=1), replace(SHIPPED["flat"], strip_repeats=3)
    assert _seconds(_BARE, CrewLoad(thrice, 5, 0.0)) - _seconds(_BARE, CrewLoad(once, 5, 0.0)) == pytest.approx(5 * 12)


def test_set_up_cables_and_closing_are_added() -> None:
    """Half an hour, half an hour for each of three cables and three quarters: 2.75 h without any splice."""
    found = crew_time(Crew(), [], 3)
    assert found.hours_median == found.hours_90 == pytest.approx(2.75)
    assert found.bottleneck == "cable preparation"
    assert crew_time(Crew(), [], 0).bottleneck == "set-up"
    assert crew_time(Crew(), [CrewLoad(SHIPPED["flat"], 0, 0.05)], 3) == found


def test_rework_adds_its_share_of_rounds() -> None:
    """Expected attempts N / (1 - p) in the middle, the 90 % quantile of the negative binomial late."""
    load = CrewLoad(_method(100, 50, 40, 30), 100, 0.2)
    found = crew_time(_BARE, [load], 0)
    assert found.hours_median * 3600 == pytest.approx(125 * 180 + 40)
    late = 100 + remakes_within([(100, 0.2)], 0.9)
    assert found.hours_90 * 3600 == pytest.approx(late * 180 + 40)


def test_the_late_figure_is_never_below_the_middle_one() -> None:
    """One joint at 5 % is remade in fewer than one case of ten, so the expected share counts in both."""
    found = crew_time(_BARE, [CrewLoad(_method(100, 50, 40, 30), 1, 0.05)], 0)
    assert found.hours_90 == found.hours_median


def test_ribbonising_adds_its_minute_an_end() -> None:
    """Ten ends of ten splices at 60 s each."""
    plain, ribbonised = (CrewLoad(SHIPPED["flat"], 10, 0.0, ends) for ends in (0, 10))
    assert _seconds(_BARE, ribbonised) - _seconds(_BARE, plain) == pytest.approx(600)
    assert any("Ribbonising" in told for told in crew_time(_BARE, [ribbonised], 0).assumptions)


def test_unlike_splices_are_worked_in_the_order_that_ends_soonest() -> None:
    """Two classes on two stations, whichever is listed first: Johnson's order, the same time."""
    crew = replace(_BARE, heaters=1)
    quick, slow = CrewLoad(_method(10, 10, 100, 10), 3, 0.0), CrewLoad(_method(60, 60, 20, 60), 3, 0.0)
    assert _seconds(crew, quick, slow) == _seconds(crew, slow, quick)
    # The quick ones come first and keep the heater busy; hands are at it 3 x 30 and 3 x 180 s, then one last heating.
    assert _seconds(crew, quick, slow) == pytest.approx(3 * 30 + 3 * 180 + 20)


def test_splices_by_one_method_are_one_kind_of_work() -> None:
    """Two lots by the same method and rework count as one lot, and are told once."""
    lot, both = CrewLoad(SHIPPED["flat"], 12, 0.05, 4), CrewLoad(SHIPPED["flat"], 24, 0.05, 8)
    assert crew_time(Crew(), [lot, lot], 2) == crew_time(Crew(), [both], 2)


def test_the_window_is_held_against_the_late_figure() -> None:
    """A window between the two figures is not kept; without a window there is no verdict."""
    load = CrewLoad(SHIPPED["flat"], 24, 0.2)
    free = crew_time(Crew(), [load], 2)
    assert free.fits_window is None
    between = (free.hours_median + free.hours_90) / 2
    assert crew_time(Crew(window_h=between), [load], 2).fits_window is False
    assert crew_time(Crew(window_h=free.hours_90), [load], 2).fits_window is True


def test_what_was_assumed_is_listed() -> None:
    """Who does what, the fixed times, each kind of splice with its rework, and what is left out."""
    told = " ".join(crew_time(Crew(technicians=3, heaters=2), [CrewLoad(SHIPPED["flat"], 24, 0.05)], 2).assumptions)
    assert "2 technicians preparing ends, 1 technician fusing" in told
    assert "2 heaters" in told and "24 by shipped-flat, rework 5 %" in told and "not counted" in told


_LOADS = st.lists(
    st.builds(
        CrewLoad,
        st.builds(_method, *(st.integers(1, 200).map(float) for _ in range(4))),
        st.integers(1, 40),
        st.sampled_from((0.0, 0.05, 0.2)),
    ),
    min_size=1,
    max_size=3,
)


@given(loads=_LOADS, people=st.integers(1, 3), splicers=st.integers(1, 2), heaters=st.integers(1, 2))
@settings(max_examples=100, deadline=None)
def test_a_crew_is_never_quicker_than_its_hands_and_machines_allow(
    loads: list[CrewLoad], people: int, splicers: int, heaters: int
) -> None:
    """Work by hand over the technicians, fusing over the splicers and heating over the heaters are lower bounds."""
    crew = replace(_BARE, technicians=people, splicers=splicers, heaters=heaters)
    found = crew_time(crew, loads, 0)
    attempts = [load.splices / (1 - load.rework) for load in loads]

    def total(*stages: str) -> float:
        return sum(
            n * sum((2 if s == "clean_s" else 1) * getattr(load.method, s) for s in stages)
            for n, load in zip(attempts, loads, strict=True)
        )

    seconds = found.hours_median * 3600 + 1e-6
    assert seconds >= total("clean_s", "fuse_s", "lay_s") / people
    assert seconds >= total("fuse_s") / splicers
    assert seconds >= total("heat_s") / heaters
    assert found.hours_90 >= found.hours_median
