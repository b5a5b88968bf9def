"""Published and computed examples of flow lines, and of what a crew does in a day."""

from __future__ import annotations

import itertools

import pytest

from service.domain.request import Crew
from service.planning.crew import crew_time
from service.planning.crew_line import CrewLoad
from service.planning.flow_line import flow_line_s, johnson_order
from service.standards.methods import SHIPPED

Jobs = dict[str, tuple[float, float]]


def _span(jobs: Jobs, order: str) -> float:
    return flow_line_s([jobs[job] for job in order])


@pytest.mark.parametrize(
    ("jobs", "order", "span"),
    [
        # Order from a course page (secondary), total computed.
        ({"L": (10, 2), "M": (5, 4), "N": (7, 5), "O": (3, 6), "P": (1, 7)}, "PONML", 28),
        # Order from another course page, whose total is wrong; total computed.
        ({"A": (3, 8), "B": (12, 10), "C": (5, 9), "D": (2, 6), "E": (9, 3), "F": (11, 1)}, "DACBEF", 43),
        # Textbook example (Heizer and Render), from memory, high confidence; total computed.
        ({"A": (5, 2), "B": (3, 6), "C": (8, 4), "D": (10, 7), "E": (7, 12)}, "BEDCA", 35),
    ],
)
def test_johnsons_rule_gives_the_published_order(jobs: Jobs, order: str, span: float) -> None:
    """The order and its total, which no other order beats."""
    assert "".join(list(jobs)[i] for i in johnson_order(list(jobs.values()))) == order
    assert _span(jobs, order) == span
    assert min(_span(jobs, "".join(other)) for other in itertools.permutations(jobs)) == span


def test_a_tie_in_johnsons_rule_does_not_change_the_total() -> None:
    """Course page (secondary): D first, B last, A ties; total computed as 51."""
    jobs: Jobs = {"A": (5, 5), "B": (4, 3), "C": (8, 9), "D": (2, 7), "E": (6, 8), "F": (12, 15)}
    order = "".join(list(jobs)[i] for i in johnson_order(list(jobs.values())))
    assert order[0] == "D" and order[-1] == "B"
    assert _span(jobs, order) == 51


def test_a_fixed_order_takes_what_stepping_through_it_takes() -> None:
    """C-E-D-B-A (a course page's question; total computed): 38."""
    assert _span({"A": (5, 2), "B": (9, 3), "C": (8, 7), "D": (5, 4), "E": (9, 6)}, "CEDBA") == 38


@pytest.mark.parametrize(
    ("number", "stages", "span"),
    [(12, (5, 2, 1.5), 63.5), (12, (4, 1.5), 49.5), (12, (2, 3), 38), (72, (5, 2, 1.5), 363.5)],
)
def test_equal_jobs_take_the_slowest_stage_each_and_all_stages_once(
    number: int, stages: tuple[float, ...], span: float
) -> None:
    """(n - 1) max t + sum t (computed)."""
    assert flow_line_s([stages] * number) == span


@pytest.mark.parametrize(("form", "minutes"), [("flat", 8), ("single", 4)])
def test_a_lone_technician_keeps_the_pace_that_the_trade_reports(form: str, minutes: float) -> None:
    """About eight minutes a ribbon of twelve and four a single fibre: trade column on ribbon splicing (secondary).

    Twelve ribbons then take about 1.6 h without set-up; the last sleeve's heating is all that comes on top.
    """
    shipped = SHIPPED[form]  # type: ignore[index]
    crew = Crew(setup_min=0, cable_prep_min=0, closing_min=0)
    hours = crew_time(crew, [CrewLoad(shipped, 12, 0.0)], 0).hours_median
    assert shipped.heat_s is not None
    assert hours * 60 == pytest.approx(12 * minutes + shipped.heat_s / 60)
    assert form == "single" or round(hours, 1) == 1.6


def test_mass_splicing_is_six_times_as_quick_as_fibre_by_fibre() -> None:
    """144 fibres: 12 x 8 = 96 min against 144 x 4 = 576 min (computed from the same column)."""
    crew = Crew(setup_min=0, cable_prep_min=0, closing_min=0)
    ribbons = crew_time(crew, [CrewLoad(SHIPPED["flat"], 12, 0.0)], 0).hours_median
    fibres = crew_time(crew, [CrewLoad(SHIPPED["single"], 144, 0.0)], 0).hours_median
    assert fibres / ribbons == pytest.approx(6, rel=0.02)
