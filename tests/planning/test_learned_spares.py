"""Spares at a rate that is learned from records: SciPy's Beta-negative-binomial distribution is the judge."""

from __future__ import annotations

import time

import numpy
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.special import gammaln
from scipy.stats import betanbinom, nbinom

from service.domain.rework import Given, Learned
from service.planning.learned_remakes import log_gamma_ratio, most_remakes, probabilities
from service.planning.spares import one_a_form, remakes_within

_CONFIDENCES = st.sampled_from([0.5, 0.8, 0.9, 0.95, 0.99, 0.999, 0.9999])
_CLOSE = 1e-9


@st.composite
def learned(draw: st.DrawFn, form: str = "flat") -> Learned:
    """A rate known from a prior and from records that need not agree with it."""
    joints = draw(st.integers(0, 3000))
    remakes = draw(st.integers(0, 1 + joints // 4))
    return Learned(form, draw(st.sampled_from([0.01, 0.05, 0.08, 0.3])), draw(st.integers(5, 200)), joints, remakes)  # type: ignore[arg-type]


def at_most(rate: Learned, splices: int, remakes: int) -> float:
    """P(so many remakes or fewer). SciPy counts failures before so many successes, p being that of a success."""
    return float(betanbinom.cdf(remakes, splices, rate.beta, rate.alpha))


@given(rate=learned(), splices=st.integers(1, 1500), confidence=_CONFIDENCES)
def test_spares_at_a_learned_rate_are_the_quantile_of_scipy(rate: Learned, splices: int, confidence: float) -> None:
    """They last with the confidence, and one fewer does not; a billionth is left to SciPy's own rounding."""
    spares = remakes_within([(splices, rate)], confidence)
    assert at_most(rate, splices, spares) >= confidence - _CLOSE
    assert spares == 0 or at_most(rate, splices, spares - 1) < confidence + _CLOSE


@given(
    flat=learned("flat"),
    single=learned("single"),
    splices=st.tuples(*[st.integers(0, 150)] * 3),
    confidence=_CONFIDENCES,
)
def test_spares_of_several_forms_are_the_quantile_of_the_folded_counts(
    flat: Learned, single: Learned, splices: tuple[int, int, int], confidence: float
) -> None:
    """Two forms at learned rates and splices at a given one, independent of each other: SciPy's terms, folded."""
    spares = remakes_within([(splices[0], flat), (splices[1], single), (splices[2], 0.04)], confidence)
    k = numpy.arange(spares + 1)
    terms = numpy.eye(1, spares + 1)[0]
    for n, part in (
        (splices[0], lambda n: betanbinom.pmf(k, n, flat.beta, flat.alpha)),
        (splices[1], lambda n: betanbinom.pmf(k, n, single.beta, single.alpha)),
        (splices[2], lambda n: nbinom.pmf(k, n, 0.96)),
    ):
        if n:
            terms = numpy.convolve(terms, part(n))[: spares + 1]
    assert terms.sum() >= confidence - _CLOSE
    assert spares == 0 or terms[:-1].sum() < confidence + _CLOSE


def test_few_records_mean_more_spares_not_fewer() -> None:
    """Five remakes in a hundred joints, one in twenty, and nothing but the prior of 5 %: ever more to carry."""
    known = Learned("flat", 0.05, 20, 10_000, 526)
    some = Learned("flat", 0.05, 20, 100, 5)
    none = Learned("flat", 0.05, 20, 0, 0)
    spares = [remakes_within([(288, rate)], 0.95) for rate in (0.05, known, some, none)]
    assert spares == sorted(spares)
    assert spares[0] < spares[2] < spares[3]


def test_joints_of_one_form_share_their_rate() -> None:
    """Two lots of a form are one lot; taken for independent, as those of two forms are, they would need fewer."""
    flat, rollable = (Learned(form, 0.05, 20, 40, 2) for form in ("flat", "rollable"))  # type: ignore[arg-type]
    together = remakes_within([(200, flat), (300, flat)], 0.95)
    assert together == remakes_within([(500, flat)], 0.95)
    assert together > remakes_within([(200, flat), (300, rollable)], 0.95)


def test_of_several_rates_of_a_form_the_best_known_counts() -> None:
    """An order of plans from before and after more records: all its splices are at what is known last."""
    before, after = Learned("flat", 0.05, 20, 40, 9), Learned("flat", 0.05, 20, 400, 21)
    assert one_a_form([(100, before), (20, after)]) == [(120, after)]
    assert one_a_form([(1, before), (1, before._replace(prior=0.1))]) == [(2, before._replace(prior=0.1))]


def test_a_learned_rate_nears_the_given_one_as_records_grow() -> None:
    """A million joints with one remake in twenty-one attempts are as good as a rate of 1/21."""
    rate = Learned("flat", 0.05, 20, 1_000_000, 50_000)
    assert remakes_within([(288, rate)], 0.95) == remakes_within([(288, 1 / 21)], 0.95)


def test_a_form_that_never_failed_and_cannot_needs_no_spares() -> None:
    """A prior of 0 with no remake recorded is a rate of 0."""
    assert remakes_within([(288, Learned("single", 0.0, 20, 50, 0))], 0.9999) == 0
    assert remakes_within([(288, Learned("single", 0.0, 20, 50, 1))], 0.9999) > 0


def test_a_given_rate_is_the_same_with_its_form() -> None:
    """Whose it is does not matter to the spares."""
    assert remakes_within([(100, Given("flat", 0.05)), (50, 0.05)], 0.95) == remakes_within([(150, 0.05)], 0.95)


@pytest.mark.parametrize(("splices", "worth"), [(100_000, 20), (1_000_000, 20), (10_000, 5)])
def test_a_whole_build_is_reckoned_quickly(splices: int, worth: int) -> None:
    """The tail is heavy, but only what is needed of it is followed: under two seconds for a million splices."""
    start = time.perf_counter()
    rate = Learned("rollable", 0.08, worth, 0, 0)
    spares = remakes_within([(splices, rate), (splices // 2, Learned("flat", 0.05, 20, 30, 2))], 0.99)
    assert time.perf_counter() - start < 2
    assert spares > splices * 0.08


@given(rate=learned(), splices=st.integers(1, 1500), risk=st.sampled_from([0.5, 0.1, 0.01, 0.0001]))
def test_the_bound_is_never_below_the_quantile(rate: Learned, splices: int, risk: float) -> None:
    """So many remakes are exceeded with no more than the risk."""
    bound = most_remakes(rate.alpha, rate.beta, splices, risk)
    assert at_most(rate, splices, bound) >= 1 - risk - _CLOSE


def test_beyond_a_million_the_bound_is_carried() -> None:
    """A prior worth one joint at 90 %, four nines of confidence: too many to be counted, but enough."""
    rate = Learned("flat", 0.9, 1, 0, 0)
    spares = remakes_within([(1000, rate)], 0.9999)
    # Far out the tail is that of the rate alone: P(K > s) is about P(p / (1 - p) > s / N).
    assert spares > 1_000_000
    assert at_most(rate, 1000, spares) >= 0.9999 - 1e-7


@given(x=st.floats(0.1, 1e6), a=st.floats(0.001, 1e5))
def test_ratios_of_gamma_functions_are_those_of_scipy(x: float, a: float) -> None:
    """Where SciPy's difference of two large logarithms has figures left to compare."""
    expected = gammaln(x + a) - gammaln(x)
    assert log_gamma_ratio(x, a) == pytest.approx(expected, rel=1e-9, abs=1e-8)


def test_the_probabilities_of_all_counts_add_up_to_one() -> None:
    """A light enough tail, followed far."""
    assert probabilities(50.0, 900.0, 300, 20_000).sum() == pytest.approx(1.0, abs=1e-9)
