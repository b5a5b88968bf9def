"""The incomplete beta function and its inverse, with SciPy as the judge."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import beta as judge

from service.planning.incomplete_beta import probability_below, rate_at

_PARAMETERS = st.floats(0.01, 20_000)


@given(alpha=_PARAMETERS, beta=_PARAMETERS, place=st.floats(0.01, 3))
def test_the_probability_of_a_rate_below_another_is_that_of_scipy(alpha: float, beta: float, place: float) -> None:
    """Around the mean and far from it, for few joints and for many."""
    x = min(1.0, place * alpha / (alpha + beta))
    assert probability_below(x, alpha, beta) == pytest.approx(judge.cdf(x, alpha, beta), abs=1e-9)


@given(alpha=st.floats(0.5, 2000), beta=st.floats(1, 20_000), level=st.floats(0.0001, 0.9999))
def test_the_rate_that_is_not_exceeded_is_that_of_scipy(alpha: float, beta: float, level: float) -> None:
    """The inverse, as it bounds the interval of a rate."""
    assert rate_at(level, alpha, beta) == pytest.approx(judge.ppf(level, alpha, beta), rel=1e-7)


def test_a_rate_with_equal_parameters_is_even_about_a_half() -> None:
    """Beta(7, 7) has its median at a half."""
    assert rate_at(0.5, 7, 7) == pytest.approx(0.5, abs=1e-15)
    assert probability_below(0.0, 7, 7) == 0.0
    assert probability_below(1.0, 7, 7) == 1.0


def test_nonsense_is_refused() -> None:
    """A parameter of 0, a level of 1."""
    with pytest.raises(ValueError, match="above 0"):
        probability_below(0.5, 0, 1)
    with pytest.raises(ValueError, match="between 0 and 1"):
        rate_at(1.0, 1, 1)
