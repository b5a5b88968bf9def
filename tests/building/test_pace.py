"""The pace of a takeoff, and the time that is left."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

from service.building.pace import Pace, pace_of
from service.domain.takeoff import TakeoffStatus
from tests.store.takeoff_rows import MOMENT

RUNNING = TakeoffStatus(
    "0" * 32, MOMENT, "", 1, "1", state="running", started=MOMENT, points=1000, demands=100, planned=25, done=400,
    fitting=390, unfitting=10,
)  # fmt: skip


def after(seconds: float, takeoff: TakeoffStatus = RUNNING) -> Pace:
    """The pace so many seconds after the work began."""
    return pace_of(takeoff, MOMENT + timedelta(seconds=seconds))


def test_what_is_left_is_reckoned_by_demands() -> None:
    """A quarter of the demands in ten seconds leaves thirty, though four in ten splice points are done."""
    assert after(10) == Pace(40.0, 30.0)


def test_judging_is_half_of_the_work() -> None:
    """Where few kinds of closure are asked for, every demand is judged before any is planned."""
    judging = replace(RUNNING, closure_kinds_most=3, judged=50, planned=0, done=0, fitting=0, unfitting=0)
    assert after(10, judging) == Pace(None, 30.0)


def test_faulty_lines_are_no_work_that_was_done() -> None:
    """They are done from the beginning; a pace made of them would promise what cannot be kept."""
    begun = replace(RUNNING, planned=0, done=7, faulty=7, fitting=0, unfitting=0)
    assert after(0.1, begun) == Pace(None, None)


def test_nothing_is_told_before_the_beginning_and_nothing_is_left_at_the_end() -> None:
    """Not started; not a moment since; ended."""
    assert after(5, replace(RUNNING, started=None)) == Pace(None, None)
    assert after(0) == Pace(None, None)
    assert after(99, replace(RUNNING, state="finished", ended=MOMENT + timedelta(seconds=20))) == Pace(20.0, None)
