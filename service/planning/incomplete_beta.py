"""The regularised incomplete beta function and its inverse: probabilities of a rate that is Beta distributed.

The continued fraction is DLMF 8.17.22 (Abramowitz and Stegun 26.5.8), worked out from the front as Lentz proposed.
"""

from __future__ import annotations

import math
from functools import lru_cache

_TINY = 1e-300
_SETTLED = 1e-16
_MOST_STEPS = 1_000_000
_HALVINGS = 1100
"""Enough to come from 1 down to the smallest number there is."""


def probability_below(x: float, alpha: float, beta: float) -> float:
    """P(p <= x) for p that is Beta(alpha, beta) distributed; ``ValueError`` where a parameter is not above 0."""
    if alpha <= 0 or beta <= 0:
        raise ValueError("Both parameters of a Beta distribution are above 0.")
    if x <= 0:
        return 0.0
    if x >= 1:
        return 1.0
    if x > (alpha + 1) / (alpha + beta + 2):
        return 1 - _part(1 - x, beta, alpha)
    return _part(x, alpha, beta)


@lru_cache(maxsize=1024)
def rate_at(probability: float, alpha: float, beta: float) -> float:
    """The rate that p stays below with a probability, by halving until no number lies between.

    ``ValueError`` for a probability outside 0 to 1.
    """
    if not 0 < probability < 1:
        raise ValueError("A probability lies between 0 and 1.")
    low, high = 0.0, 1.0
    for _ in range(_HALVINGS):
        middle = (low + high) / 2
        if not low < middle < high:
            break
        if probability_below(middle, alpha, beta) < probability:
            low = middle
        else:
            high = middle
    return high


def _part(x: float, a: float, b: float) -> float:
    log_beta = math.lgamma(a) + math.lgamma(b) - math.lgamma(a + b)
    front = math.exp(a * math.log(x) + b * math.log1p(-x) - log_beta) / a
    d = 1 / _kept_off(1 - (a + b) * x / (a + 1))
    c, fraction = 1.0, d
    for m in range(1, _MOST_STEPS):
        even = m * (b - m) * x / ((a + 2 * m - 1) * (a + 2 * m))
        d, c = 1 / _kept_off(1 + even * d), _kept_off(1 + even / c)
        fraction *= d * c
        odd = -(a + m) * (a + b + m) * x / ((a + 2 * m) * (a + 2 * m + 1))
        d, c = 1 / _kept_off(1 + odd * d), _kept_off(1 + odd / c)
        fraction *= d * c
        if abs(d * c - 1) <= _SETTLED:
            break
    return min(1.0, front * fraction)


def _kept_off(value: float) -> float:
    """The value, or one next to 0 where it is 0: the fraction goes on from there."""
    return value if abs(value) > _TINY else _TINY
