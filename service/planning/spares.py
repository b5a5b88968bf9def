"""Sleeves to carry so that they last: splices, and spares for the joints that must be made again.

Joints at given rates are independent of each other, and so are those of different forms at learned rates; joints of
one form at a learned rate are not: they share one rate that is not known for sure. So they are taken together before
anything is added up, and what little is known shows in more spares.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from functools import lru_cache
from typing import TYPE_CHECKING

from service.domain.rework import Learned, Rework, mean_rate
from service.planning import learned_remakes
from service.planning.negative_binomial import TOLERANCE, Rates, probabilities, quantile

if TYPE_CHECKING:
    import numpy
    from numpy.typing import NDArray

_MOST_COUNTED = 1 << 20
"""Up to so many remakes are counted one by one; beyond, the bound is taken for the quantile: never too few."""

_FOLDED_UP_TO = 2048
"""Up to so many terms are folded as they are, more by Fourier transforms."""


def mass_rework(p_fibre: float, fibres: int) -> float:
    """``1 - (1 - p)^n``: a mass splice is remade when any of its n fibres is bad."""
    if not 0 <= p_fibre < 1:
        raise ValueError("A rework rate is at least 0 and below 1.")
    return min(-math.expm1(fibres * math.log1p(-p_fibre)), math.nextafter(1, 0))


def sleeves_needed(groups: Sequence[tuple[int, Rework]], confidence: float) -> int:
    """The smallest N + s with P(remakes <= s) at least the confidence, pooled over groups of (splices, p)."""
    return sum(n for n, _ in groups) + remakes_within(groups, confidence)


def remakes_within(groups: Sequence[tuple[int, Rework]], confidence: float) -> int:
    """The smallest s with P(remakes <= s) at least the confidence.

    Where learned rates make it more than a million, it can be more than the smallest, never less.
    ``ValueError`` for a confidence outside 0 to 1, a rate outside [0, 1), or a negative count.
    """
    if not 0 < confidence < 1:
        raise ValueError("A confidence lies between 0 and 1.")
    given: dict[float, int] = {}
    learned: list[tuple[int, Learned]] = []
    for splices, rework in groups:
        if splices < 0:
            raise ValueError("A number of splices is at least 0.")
        p = rework.prior if isinstance(rework, Learned) else mean_rate(rework)
        if not 0 <= p < 1:
            raise ValueError("A rework rate is at least 0 and below 1.")
        if isinstance(rework, Learned):
            learned.append((splices, rework))
        elif splices and p:
            given[p] = given.get(p, 0) + splices
    shared = tuple(sorted((rate.alpha, rate.beta, n) for n, rate in one_a_form(learned) if n and rate.alpha))
    pooled = tuple(sorted(given.items()))
    return _quantile(pooled, shared, confidence) if shared else quantile(pooled, confidence)


def one_a_form(groups: Iterable[tuple[int, Learned]]) -> list[tuple[int, Learned]]:
    """The splices of each form with the one rate that they share, by form.

    Where a form comes with several (plans made at different times, methods with different priors), that counts which
    rests on the most records, of equals the one with the higher mean, then with the weaker prior.
    """
    splices: dict[str, int] = {}
    best: dict[str, Learned] = {}
    for n, rate in groups:
        splices[rate.form] = splices.get(rate.form, 0) + n
        best[rate.form] = max(rate, best.get(rate.form, rate), key=_knowledge)
    return [(splices[form], best[form]) for form in sorted(splices)]


def _knowledge(rate: Learned) -> tuple[int, float, float]:
    return rate.joints, rate.mean, -rate.prior_joints


@lru_cache(maxsize=4096)
def _quantile(pooled: Rates, shared: tuple[tuple[float, float, int], ...], confidence: float) -> int:
    """The quantile of a sum of independent counts, given and learned.

    Each part exceeds its own bound with a share of the risk at most, so their sum is within all bounds together.
    """
    risk = (1 - confidence) / (len(shared) + bool(pooled))
    most = quantile(pooled, 1 - risk) if pooled else 0
    most += sum(learned_remakes.most_remakes(alpha, beta, n, risk) for alpha, beta, n in shared)
    if most > _MOST_COUNTED:
        return most
    import numpy

    sums: NDArray[numpy.float64] | None = None
    if pooled:
        first, terms = probabilities(pooled)
        sums = numpy.zeros(most + 1)
        given = numpy.array(terms[: most + 1 - first])
        sums[first : first + len(given)] = given
    for alpha, beta, n in shared:
        part = learned_remakes.probabilities(alpha, beta, n, most)
        sums = part if sums is None else _folded(sums, part)
    assert sums is not None
    reached = numpy.cumsum(sums)
    return min(most, int(numpy.searchsorted(reached, confidence - TOLERANCE)))


def _folded(one: NDArray[numpy.float64], other: NDArray[numpy.float64]) -> NDArray[numpy.float64]:
    """The probabilities of the sum of two counts, as far as theirs are told."""
    import numpy

    size = len(one)
    if size <= _FOLDED_UP_TO:
        return numpy.convolve(one, other)[:size]
    length = 1 << (2 * size - 1).bit_length()
    folded = numpy.fft.irfft(numpy.fft.rfft(one, length) * numpy.fft.rfft(other, length), length)[:size]
    return numpy.maximum(folded, 0.0)
