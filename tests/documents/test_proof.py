"""A proof is written with the figures that each bound has."""

from __future__ import annotations

from service.documents.proof import bound_to
from service.domain.proof import ProvenBound


def test_figures_that_a_bound_does_not_have_are_left_out() -> None:
    """A bound of nothing has none."""
    assert bound_to(ProvenBound("opened", 0, 0, "trivial", "nothing can be less than none")) == {
        "objective": "opened", "value": 0, "lower_bound": 0, "shown_by": "trivial",
        "text": "nothing can be less than none", "solver_used": False,
    }  # fmt: skip


def test_a_need_of_none_is_a_figure() -> None:
    """0 slots that trays with less give are told."""
    document = bound_to(ProvenBound("cost", 1, 1, "slots", "slots", "ribbon-12", need=6, most_with_less=0))
    assert (document["slot_kind"], document["need"], document["most_with_less"]) == ("ribbon-12", 6, 0)
