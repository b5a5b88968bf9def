"""Splices judged by what was written down of them. Worked examples are named with their source."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.domain.acceptance import Limits
from service.domain.records import Loss, SpliceRecord
from service.planning.recording.acceptance import judge_closure, judge_splice
from service.planning.recording.figures import figures_of
from service.standards.acceptance import PRESETS
from tests.planning.recording.test_learning import RECORD

FIBRE = replace(RECORD, form="single", fibres=1)


def both(fibre: int, one: float, other: float, nm: int = 1550) -> tuple[Loss, Loss]:
    """A fibre looked at from both ends."""
    return Loss(fibre, one, "measured", nm, "a_to_b"), Loss(fibre, other, "measured", nm, "b_to_a")


def of(*losses: Loss, record: SpliceRecord = FIBRE) -> SpliceRecord:
    """A record with these losses."""
    return replace(record, measurements=losses)


@pytest.mark.parametrize(
    ("one", "other", "mean"),
    # Worked examples of a public training text (read); see check-values, section 5.
    [(-0.08, 0.28, 0.10), (0.15, -0.03, 0.06), (-0.2, 0.4, 0.10)],
)
def test_both_directions_are_averaged_with_their_signs(one: float, other: float, mean: float) -> None:
    """A gain one way is normal; the mean is judged, exactly at the limit too, and a hair under it fails."""
    verdict = judge_splice(of(*both(1, one, other)), Limits(splice_db=mean))
    assert verdict.good and verdict.fibres[0].loss_db == mean
    assert verdict.fibres[0].basis == "two_way"
    assert judge_splice(of(*both(1, one, other)), Limits(splice_db=mean - 0.001)).failing == (1,)


@given(one=st.integers(-500, 500), other=st.integers(-500, 500))
def test_it_does_not_matter_which_end_was_measured_first(one: int, other: int) -> None:
    """The mean is the same from either side."""
    there, back = (figures_of(both(1, *pair)) for pair in ((one / 1000, other / 1000), (other / 1000, one / 1000)))
    assert there[0].loss_db == back[0].loss_db


def test_one_direction_alone_is_judged_and_said_to_be() -> None:
    """0.18 dB one way passes at 0.2 dB with a note; a limit of its own for one way can be stricter."""
    record = of(Loss(1, 0.18, "measured", 1550, "a_to_b"))
    verdict = judge_splice(record, Limits(splice_db=0.2))
    assert verdict.good and "one direction alone" in verdict.notes[0]
    assert judge_splice(record, Limits(splice_db=0.2, one_way_db=0.15)).good is False
    assert "one direction" in judge_closure([record], Limits(splice_db=0.2)).notes[0]


def test_an_estimate_is_judged_only_where_nothing_was_measured() -> None:
    """The splicer's 0.4 dB does not stand against a measured 0.05, but counts for the fibre beside it."""
    ribbon = of(Loss(1, 0.4, "estimated"), *both(1, 0.05, 0.05), Loss(2, 0.4, "estimated"), record=RECORD)
    verdict = judge_splice(ribbon, Limits(splice_db=0.3))
    assert verdict.failing == (2,)
    assert [(each.fibre, each.basis) for each in verdict.fibres] == [(1, "two_way"), (2, "estimated")]
    assert any("estimate" in note for note in verdict.notes)


def test_a_fibre_fails_at_any_wavelength() -> None:
    """Good at 1310 nm, bent at 1550: the failing fibre is named."""
    record = of(*both(3, 0.02, 0.04, 1310), *both(3, 0.5, 0.3, 1550), *both(4, 0.1, 0.1), record=RECORD)
    verdict = judge_splice(record, Limits(splice_db=0.3))
    assert verdict.good is False and verdict.failing == (3,)


def test_a_wavelength_can_have_a_limit_of_its_own() -> None:
    """The municipal contract takes 0.25 dB at 1310 nm and 0.20 at 1550."""
    limits = PRESETS["municipal-carrier"].limits
    assert judge_splice(of(*both(1, 0.25, 0.25, 1310)), limits).good
    assert judge_splice(of(*both(1, 0.25, 0.25, 1550)), limits).good is False


def test_the_mean_of_a_ribbon_is_judged_beside_its_fibres() -> None:
    """Twelve fibres of 0.12 dB are each within 0.2 but over 0.1 on the average; no single fibre fails."""
    losses = [loss for fibre in range(1, 13) for loss in both(fibre, 0.1, 0.14)]
    verdict = judge_splice(of(*losses, record=RECORD), PRESETS["ribbon-average"].limits)
    assert verdict.good is False and verdict.failing == ()
    assert [(mean.mean_db, mean.fibres, mean.good) for mean in verdict.means] == [(0.12, 12, False)]


def test_fibres_without_a_figure_are_told() -> None:
    """Two of twelve measured: judged by these, and said so."""
    verdict = judge_splice(of(*both(1, 0.1, 0.1), *both(2, 0.1, 0.1), record=RECORD), Limits(splice_db=0.2))
    assert verdict.good and "2 of 12 fibres have a figure" in verdict.notes


def test_a_figure_of_the_whole_ribbon_is_judged_as_a_mean() -> None:
    """What a mass splicer shows for all twelve: 0.15 dB is within 0.2 for a fibre, not within 0.1 for the mean."""
    record = of(Loss(None, 0.15, "estimated"), record=RECORD)
    assert judge_splice(record, Limits(splice_db=0.2)).good
    verdict = judge_splice(record, Limits(splice_db=0.2, ribbon_mean_db=0.1))
    assert verdict.good is False and verdict.failing == ()


def test_a_gain_in_both_directions_is_not_believed() -> None:
    """It passes, as a loss below 0 would, but whoever measured is asked to look again."""
    verdict = judge_splice(of(*both(1, -0.1, -0.1)), Limits(splice_db=0.2))
    assert verdict.good and any("cannot be" in note for note in verdict.notes)


def test_a_closure_is_good_when_every_splice_in_it_was_judged_good() -> None:
    """One without a record leaves it open, one that fails decides it."""
    good, bad = (replace(of(*both(1, loss, loss)), splice=n) for n, loss in ((1, 0.1), (2, 0.5)))
    limits = Limits(splice_db=0.3)
    assert judge_closure([good], limits, [1]).good is True
    unfinished = judge_closure([good], limits, [1, 3])
    assert unfinished.good is None and unfinished.unjudged == (3,)
    assert judge_closure([good, bad], limits, [1, 2, 3]).failing == (2,)
    assert judge_closure([bad, replace(good, splice=2)], limits, [2]).good is True
    assert judge_closure([], limits).good is None


def test_without_a_limit_nothing_is_judged() -> None:
    """Losses are told as they are, with no verdict."""
    verdict = judge_closure([of(*both(1, 0.1, 0.1))], Limits())
    assert verdict.good is None and verdict.splices[0].fibres[0].good is None
    assert verdict.notes == ("no limit was asked for: nothing is judged",)


def test_one_direction_is_held_to_the_lower_of_its_limits() -> None:
    """City of Louisville (check-values, section 5): 0.25 dB at 1310 nm both ways, and 0.2 dB for one way alone."""
    limits = PRESETS["municipal-carrier"].limits
    alone = Loss(1, 0.22, "measured", 1310, "a_to_b")
    assert judge_splice(of(*both(1, 0.22, 0.22, 1310)), limits).good
    assert judge_splice(of(alone), limits).failing == (1,)
    strict = replace(limits, one_way_db=0.1)
    assert judge_splice(of(Loss(1, 0.15, "measured", 1550, "b_to_a")), strict).failing == (1,)
