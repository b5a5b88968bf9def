"""Crew time: a flow line of people and machines, with rework."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from service.domain.catalogue import Method
from service.domain.request import Crew
from service.domain.rework import Learned
from service.planning.crew import crew_time
from service.planning.crew_line import CrewLoad
from service.planning.spares import remakes_within
from service.standards.methods import SHIPPED
from tests.planning.entries import method

_BARE = Crew(setup_min=0, cable_prep_min=0, closing_min=0, spread=0)
"""No time but that of the splices, and none that varies."""


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
    steady = Crew(spread=0)
    found = crew_time(steady, [], 3)
    assert found.hours_median == found.hours_90 == pytest.approx(2.75)
    assert found.bottleneck == "cable preparation"
    assert crew_time(steady, [], 0).bottleneck == "set-up"
    assert crew_time(steady, [CrewLoad(SHIPPED["flat"], 0, 0.05)], 3) == found


def test_set_up_cables_and_closing_vary_too() -> None:
    """Two times of 30 min and one of 45, each by 20 %: 105 +- 12.4 min, so nine in ten stay within some 121 (CALC)."""
    found = crew_time(Crew(), [], 1)
    assert found.hours_median * 60 == pytest.approx(105)
    assert found.hours_90 * 60 == pytest.approx(121, abs=2)


def test_rework_adds_its_share_of_rounds() -> None:
    """Expected attempts N / (1 - p) in the middle, the 90 % quantile of the negative binomial late, to two rounds."""
    load = CrewLoad(_method(100, 50, 40, 30), 100, 0.2)
    found = crew_time(_BARE, [load], 0)
    assert found.hours_median * 3600 == pytest.approx(125 * 180 + 40)
    late = 100 + remakes_within([(100, 0.2)], 0.9)
    assert found.hours_90 * 3600 == pytest.approx(late * 180 + 40, abs=2 * 180)


def test_the_late_figure_is_never_below_the_middle_one() -> None:
    """One joint at 5 % is remade in fewer than one case of ten, so the expected share counts in both."""
    found = crew_time(_BARE, [CrewLoad(_method(100, 50, 40, 30), 1, 0.05)], 0)
    assert found.hours_90 == found.hours_median


def test_more_spread_makes_the_late_figure_later_and_leaves_the_middle_one() -> None:
    """Nought, a fifth and a half."""
    found = [crew_time(Crew(spread=spread), [CrewLoad(SHIPPED["flat"], 24, 0.05)], 2) for spread in (0.0, 0.2, 0.5)]
    assert len({each.hours_median for each in found}) == 1
    assert found[0].hours_90 < found[1].hours_90 < found[2].hours_90


def test_another_seed_moves_the_late_figure_by_no_more_than_the_runs_leave_open() -> None:
    """Five hundred runs leave a hundredth or so of the hours open; the same seed gives the same answer."""
    load = CrewLoad(SHIPPED["flat"], 24, 0.05)
    found = [crew_time(Crew(seed=seed), [load], 2).hours_90 for seed in range(6)]
    assert len(set(found)) > 1
    assert max(found) / min(found) < 1.02
    assert crew_time(Crew(seed=3), [load], 2).hours_90 == found[3]


def test_a_second_technician_or_heater_gains_what_its_line_gains() -> None:
    """Ten splices of 100 + 50 + 30 s by hand: 10 x 180 + 40 s alone, 9 x 100 + 220 s when one prepares (CALC).

    Where heating takes 300 s instead, 180 + 10 x 300 s with one heater and 9 x 180 + 480 s with two.
    """
    gains = {gain.add: gain for gain in crew_time(_BARE, [CrewLoad(_method(100, 50, 40, 30), 10, 0.0)], 0).gains}
    assert list(gains) == ["technician", "splicer", "heater"]
    assert gains["technician"].hours_90 * 3600 == pytest.approx(9 * 100 + 220)
    assert gains["technician"].saves_h * 3600 == pytest.approx(1840 - 1120)
    assert gains["splicer"].saves_h == gains["heater"].saves_h == 0
    slow = {gain.add: gain for gain in crew_time(_BARE, [CrewLoad(_method(100, 50, 300, 30), 10, 0.0)], 0).gains}
    assert slow["heater"].hours_median * 3600 == pytest.approx(9 * 180 + 480)
    assert slow["heater"].saves_h * 3600 == pytest.approx(3180 - 2100)


def test_each_gain_is_what_that_crew_itself_is_told() -> None:
    """The hours with a second technician are those of a crew of two, and whether they fit the window."""
    load, crew = CrewLoad(SHIPPED["flat"], 24, 0.05), Crew(window_h=5.5)
    alone = crew_time(crew, [load], 3)
    two = crew_time(replace(crew, technicians=2), [load], 3)
    (gain,) = (gain for gain in alone.gains if gain.add == "technician")
    assert (gain.hours_median, gain.hours_90) == (two.hours_median, two.hours_90)
    assert (alone.fits_window, gain.fits_window, two.fits_window) == (False, True, True)
    assert gain.saves_h == pytest.approx(alone.hours_90 - two.hours_90)


def test_so_many_splices_are_done_in_a_window_that_is_too_short() -> None:
    """Steady work of 180 s a splice and 40 s of heating: an hour takes 19 of 30, as 19 x 180 + 40 = 3460 s (CALC)."""
    found = crew_time(replace(_BARE, window_h=1.0), [CrewLoad(_method(100, 50, 40, 30), 30, 0.0)], 0)
    assert (found.fits_window, found.splices_in_window) == (False, 19)
    exactly = replace(_BARE, window_h=3460 / 3600)
    assert crew_time(exactly, [CrewLoad(_method(100, 50, 40, 30), 30, 0.0)], 0).splices_in_window == 19
    assert crew_time(replace(_BARE, window_h=0.01), [CrewLoad(SHIPPED["flat"], 30, 0.0)], 0).splices_in_window == 0


def test_what_is_done_in_the_window_leaves_time_to_close() -> None:
    """The same hour after and before a quarter each of set-up and closing: 30 min take 9 of 30 (CALC)."""
    crew = replace(_BARE, setup_min=15, closing_min=15, window_h=1.0)
    assert crew_time(crew, [CrewLoad(_method(100, 50, 40, 30), 30, 0.0)], 0).splices_in_window == 9


def test_all_splices_fit_or_it_is_told_how_many_do() -> None:
    """No count where no window was given or all is done in it."""
    load = CrewLoad(SHIPPED["flat"], 24, 0.05)
    assert crew_time(Crew(), [load], 2).splices_in_window is None
    assert crew_time(Crew(window_h=20), [load], 2).splices_in_window is None
    assert crew_time(Crew(window_h=0.5), [], 2).splices_in_window == 0


@pytest.mark.parametrize("hours", [3.0, 4.0, 5.0])
def test_the_splices_done_in_a_window_are_the_largest_job_that_fits_it(hours: float) -> None:
    """As many as make a job of their own whose runs fit, and one more does not."""
    crew = Crew(window_h=hours)
    done = crew_time(crew, [CrewLoad(SHIPPED["flat"], 40, 0.05)], 2).splices_in_window
    assert done is not None and 0 < done < 40
    assert crew_time(crew, [CrewLoad(SHIPPED["flat"], done, 0.05)], 2).fits_window
    assert not crew_time(crew, [CrewLoad(SHIPPED["flat"], done + 1, 0.05)], 2).fits_window


def test_a_job_of_thousands_is_judged_by_its_remakes_and_its_first_splices_by_runs() -> None:
    """The quantile of the negative binomial, the same first splices as for a smaller job, and no break between."""
    load = CrewLoad(_method(100, 50, 40, 30), 6000, 0.2)
    found = crew_time(replace(_BARE, window_h=4), [load], 0)
    assert found.hours_90 * 3600 == pytest.approx((6000 + remakes_within([(6000, 0.2)], 0.9)) * 180 + 40)
    assert any("spread of single times evens out" in told for told in found.assumptions)
    smaller = crew_time(replace(_BARE, window_h=4), [replace(load, splices=3000)], 0)
    assert abs((found.splices_in_window or 0) - (smaller.splices_in_window or 0)) <= 1
    alone = Crew(window_h=4)
    few, many = (crew_time(alone, [CrewLoad(SHIPPED["flat"], n, 0.05)], 3).splices_in_window for n in (100, 9000))
    assert few == many
    assert found.hours_90 / 2 == pytest.approx(smaller.hours_90, rel=0.01)
    most = crew_time(replace(_BARE, window_h=300), [load], 0).splices_in_window
    assert most is not None and most > 4000
    late = most + remakes_within([(most, 0.2)], 0.9)
    assert late * 180 + 40 <= 300 * 3600 < (late + 3) * 180 + 40


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
    assert all(gain.saves_h >= 0 and gain.hours_90 <= found.hours_90 for gain in found.gains)


def test_what_is_not_known_of_a_rate_makes_the_late_figure_later() -> None:
    """Twenty joints' worth of knowledge against two thousand of one mean: the middle stays, the 90 % figure falls."""
    few = Learned("flat", 0.1, 20, 0, 0)
    many = Learned("flat", 0.1, 2000, 0, 0)
    assert few.mean == pytest.approx(many.mean)
    work = _method(30, 40, 60, 20)
    one, other = (crew_time(_BARE, [CrewLoad(work, 200, rate)], 0) for rate in (few, many))
    assert one.hours_median == pytest.approx(other.hours_median)
    assert one.hours_90 > other.hours_90 * 1.02
