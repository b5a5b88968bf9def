"""Spares: sleeves that last with a confidence, pooled over groups."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import nbinom

from service.planning.spares import mass_rework, remakes_within, sleeves_needed

_RATES = st.sampled_from((0.0, 0.001, 0.01, 0.02, 0.05, 0.1, 0.3))
_CONFIDENCES = st.sampled_from((0.5, 0.8, 0.9, 0.95, 0.99, 0.9999))
_GROUPS = st.lists(st.tuples(st.integers(0, 300), _RATES), min_size=1, max_size=4)


def test_joints_that_never_fail_need_no_spare() -> None:
    """At a rework of 0, as many sleeves as splices."""
    assert sleeves_needed([(288, 0.0)], 0.95) == 288
    assert sleeves_needed([], 0.95) == 0


@pytest.mark.parametrize(("p", "confidence"), [(0.05, 0.95), (0.01, 0.99), (0.1, 0.9), (0.5, 0.5)])
def test_a_confidence_met_exactly_needs_no_further_sleeve(p: float, confidence: float) -> None:
    """One splice that holds with just the asked probability needs one sleeve."""
    assert sleeves_needed([(1, p)], confidence) == 1


@pytest.mark.parametrize("splices", [1, 2, 12, 144, 3456, 100_000])
@pytest.mark.parametrize("p", [1e-6, 0.003, 0.047, 0.31])
@pytest.mark.parametrize("confidence", [0.5, 0.901, 0.953, 0.9987])
def test_spares_are_those_of_the_negative_binomial(splices: int, p: float, confidence: float) -> None:
    """Against SciPy's quantile, at confidences that lie on no step of the distribution."""
    assert remakes_within([(splices, p)], confidence) == nbinom.ppf(confidence, splices, 1 - p)


@given(groups=_GROUPS, confidence=_CONFIDENCES)
@settings(max_examples=60, deadline=None)
def test_groups_of_different_rates_are_added_up_exactly(groups: list[tuple[int, float]], confidence: float) -> None:
    """Against the convolution of SciPy's probabilities: s is enough and s - 1 is not."""
    most = 600
    joint = np.ones(1)
    for splices, p in groups:
        if splices and p:
            joint = np.convolve(joint, nbinom.pmf(range(most + 1), splices, 1 - p))[: most + 1]
    s = remakes_within(groups, confidence)
    assert math.fsum(joint[: s + 1]) >= confidence - 1e-9
    assert s == 0 or math.fsum(joint[:s]) < confidence + 1e-9


@given(groups=_GROUPS, confidence=_CONFIDENCES)
@settings(max_examples=100, deadline=None)
def test_pooled_spares_are_never_more_than_separate_ones_at_the_same_risk(
    groups: list[tuple[int, float]], confidence: float
) -> None:
    """Separate spares hold all together with confidence^k; pooled for just that, no more are needed.

    At the same figure for a group and for the whole the sum may be the smaller: it promises less.
    """
    separate = sum(remakes_within([group], confidence) for group in groups)
    assert remakes_within(groups, confidence ** len(groups)) <= separate


def test_many_small_points_can_promise_less_with_fewer_spares() -> None:
    """A hundred and six joints at 0.1 % need one spare at 90 %; apart, neither lot needs any."""
    assert remakes_within([(106, 0.001)], 0.9) == 1
    assert remakes_within([(1, 0.001)], 0.9) + remakes_within([(105, 0.001)], 0.9) == 0


@given(splices=st.integers(0, 500), p=_RATES, confidence=_CONFIDENCES)
def test_more_joints_a_higher_rate_or_more_confidence_never_need_fewer(
    splices: int, p: float, confidence: float
) -> None:
    """Sleeves grow with the joints, the rate and the confidence."""
    here = sleeves_needed([(splices, p)], confidence)
    assert sleeves_needed([(splices + 1, p)], confidence) > here
    assert sleeves_needed([(splices, min(p + 0.05, 0.9))], confidence) >= here
    assert sleeves_needed([(splices, p)], min(confidence + 0.04, 0.99995)) >= here


def test_the_order_and_division_of_groups_do_not_matter() -> None:
    """Equal rates are one group, however they are listed."""
    assert remakes_within([(100, 0.05), (40, 0.02), (188, 0.05)], 0.95) == remakes_within(
        [(40, 0.02), (288, 0.05)], 0.95
    )


@pytest.mark.parametrize(("splices", "p"), [(100_000, 0.9), (1_000_000, 0.4), (40_000, 0.93)])
def test_very_many_remakes_are_right_to_a_millionth_or_so(splices: int, p: float) -> None:
    """Beyond 300,000 expected remakes the expansion stays within three of SciPy's quantile."""
    for confidence in (0.5, 0.9, 0.95, 0.9999):
        assert abs(remakes_within([(splices, p)], confidence) - nbinom.ppf(confidence, splices, 1 - p)) <= 3


def test_a_mass_splice_is_remade_when_any_fibre_is_bad() -> None:
    """1 - (1 - p)^n, and a single fibre is its own rate."""
    assert mass_rework(0.01, 12) == pytest.approx(1 - 0.99**12)
    assert mass_rework(0.02, 1) == pytest.approx(0.02)
    assert mass_rework(0.0, 24) == 0.0


def test_a_rate_of_all_but_certain_failure_stays_below_one() -> None:
    """Rounding does not make a failure certain, so that a number of sleeves still follows."""
    assert mass_rework(0.9, 24) < 1
    assert sleeves_needed([(12, mass_rework(0.9, 24))], 0.95) > 1_000_000


@pytest.mark.parametrize(
    ("groups", "confidence", "word"),
    [
        ([(1, 0.05)], 1.0, "confidence"),
        ([(1, 0.05)], 0.0, "confidence"),
        ([(1, 1.0)], 0.95, "rework"),
        ([(1, -0.1)], 0.95, "rework"),
        ([(-1, 0.1)], 0.95, "splices"),
    ],
)
def test_what_is_no_rate_confidence_or_number_is_refused(
    groups: list[tuple[int, float]], confidence: float, word: str
) -> None:
    """Certainty cannot be bought, a joint that always fails is never made, and splices are counted from 0."""
    with pytest.raises(ValueError, match=word):
        sleeves_needed(groups, confidence)


def test_a_fibre_that_always_fails_is_refused() -> None:
    """A rate a fibre lies below 1."""
    with pytest.raises(ValueError, match="rework"):
        mass_rework(1.0, 12)
