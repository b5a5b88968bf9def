"""Remakes of joints at a learned rate: the Beta-negative-binomial distribution.

Where p is Beta(alpha, beta) distributed and N joints share it, k remakes have the probability
``(N + k - 1 over k) B(alpha + k, beta + N) / B(alpha, beta)``. Its tail is heavy, so it is not followed to its end:
the probability of no remake is known in closed form, and the others follow from it, one from the other, as far as
they are needed. How far that is at most, is bounded beforehand.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from service.planning.incomplete_beta import rate_at
from service.planning.negative_binomial import quantile

if TYPE_CHECKING:
    import numpy
    from numpy.typing import NDArray

_SHARE = 0.9
"""The share of the risk that is the rate's; the rest is that of the count at that rate. Any share bounds soundly."""

_SHIFTED_TO = 20.0
_EXPANSION = (1 / 12, -1 / 360, 1 / 1260, -1 / 1680, 1 / 1188)
"""Stirling's series for the logarithm of the gamma function (DLMF 5.11.1)."""


def probabilities(alpha: float, beta: float, joints: int, most: int) -> NDArray[numpy.float64]:
    """The probabilities of 0, 1 ... ``most`` remakes over so many joints that share one learned rate."""
    import numpy

    k = numpy.arange(most, dtype=numpy.float64)
    steps = numpy.log((joints + k) / (k + 1)) + numpy.log((alpha + k) / (alpha + beta + joints + k))
    none = log_gamma_ratio(beta, alpha) - log_gamma_ratio(beta + joints, alpha)
    logarithms = numpy.concatenate(([none], none + numpy.cumsum(steps)))
    return numpy.exp(logarithms)


def most_remakes(alpha: float, beta: float, joints: int, risk: float) -> int:
    """A number that the remakes exceed with a probability of at most ``risk``: the bound, not the quantile.

    They exceed it only where the rate is above x, or the count is above t though the rate is not; a lower rate makes
    a smaller count, so the latter is at most what it is at x. The two share out the risk.
    """
    x = rate_at(1 - _SHARE * risk, alpha, beta)
    x = min(x, math.nextafter(1, 0))
    return quantile(((x, joints),), 1 - (1 - _SHARE) * risk)


def log_gamma_ratio(x: float, a: float) -> float:
    """``log(Gamma(x + a) / Gamma(x))`` for x above 0, without the loss of figures where x is large beside a."""
    shift = 0.0
    while x < _SHIFTED_TO:
        # Gamma(x + 1) = x Gamma(x), above and below.
        shift += math.log(x / (x + a))
        x += 1
    rest = _series(x + a) - _series(x)
    return shift + (x - 0.5) * math.log1p(a / x) + a * math.log(x + a) - a + rest


def _series(x: float) -> float:
    return sum(coefficient / x ** (2 * i + 1) for i, coefficient in enumerate(_EXPANSION))
