"""Remakes of joints at given rates: the negative binomial distribution, and sums of several.

A joint that fails with probability p before it is accepted makes the count of remakes over N joints negative
binomial. Groups of joints with different p add up to a sum of such counts, whose probabilities g follow from the
logarithmic derivative of the generating function: ``k g[k]`` is the sum over groups of ``N S[k]``, where
``S[k] = p (S[k-1] + g[k-1])``. All terms are positive, so nothing cancels; g is found up to a factor and divided by
its sum. Beyond 300,000 expected remakes the quantile is that of a Cornish-Fisher expansion, right to a millionth or so.
"""

from __future__ import annotations

import math
from bisect import bisect_left
from functools import lru_cache
from statistics import NormalDist

TOLERANCE = 1e-12
"""A confidence that is missed by no more than this counts as reached, so that exact boundaries are."""

Rates = tuple[tuple[float, int], ...]
"""Rates, each above 0 and below 1, with the joints that have them; no rate twice, in ascending order."""

_NEGLIGIBLE = 1e-17
_RESCALE_ABOVE = 1e250
_DROPPED = 1e-40
_MOST_EXPECTED = 300_000


def expected(pooled: Rates) -> float:
    """The expected remakes."""
    return sum(n * p / (1 - p) for p, n in pooled)


def probabilities(pooled: Rates) -> tuple[int, list[float]]:
    """The probabilities of k, k + 1 ... remakes, and k: what lies outside is negligible."""
    first, terms = _terms(pooled)
    total = math.fsum(terms)
    return first, [term / total for term in terms]


@lru_cache(maxsize=4096)
def quantile(pooled: Rates, confidence: float) -> int:
    """The smallest s with P(remakes <= s) at least the confidence."""
    if not pooled:
        return 0
    if expected(pooled) > _MOST_EXPECTED:
        return _expanded(pooled, confidence)
    first, terms = _terms(pooled)
    enough = (confidence - TOLERANCE) * math.fsum(terms)
    reached = 0.0
    for place, term in enumerate(terms):
        reached += term
        if reached >= enough:
            return first + place
    return first + len(terms)  # pragma: no cover - the terms add up to more than any confidence below 1


def _terms(pooled: Rates) -> tuple[int, list[float]]:
    """The probabilities of k, k + 1 ... remakes up to a common factor, and k: what lies outside is negligible."""
    rates = [p for p, _ in pooled]
    counts = [n for _, n in pooled]
    mean = expected(pooled)
    highest = max(rates)
    first, terms, sums, total, k, last = 0, [1.0], [0.0] * len(rates), 1.0, 0, 1.0
    while True:
        k += 1
        if len(rates) == 1:
            # The same recurrence in closed form for one rate.
            term = last * highest * (counts[0] + k - 1) / k
        else:
            sums = [p * (s + last) for p, s in zip(rates, sums, strict=True)]
            term = sum(n * s for n, s in zip(counts, sums, strict=True)) / k
        terms.append(term)
        total += term
        if k > mean and term < last:
            # Beyond the mode the ratio of neighbours falls towards the highest rate; the tail is below this series.
            ratio = max(term / last, highest)
            if term * ratio / (1 - ratio) < _NEGLIGIBLE * total:
                return first, terms
        last = term
        if term > _RESCALE_ABOVE:
            # Up to the mode the terms rise, so those that are negligible beside this one stand in front.
            negligible = bisect_left(terms, term * _DROPPED)
            first += negligible
            terms = [t / _RESCALE_ABOVE for t in terms[negligible:]]
            sums = [s / _RESCALE_ABOVE for s in sums]
            total, last = total / _RESCALE_ABOVE, term / _RESCALE_ABOVE


def _expanded(pooled: Rates, confidence: float) -> int:
    """The quantile from the first four cumulants (Cornish and Fisher 1938), for very many remakes."""
    mean = expected(pooled)
    variance = sum(n * p / (1 - p) ** 2 for p, n in pooled)
    third = sum(n * p * (1 + p) / (1 - p) ** 3 for p, n in pooled)
    fourth = sum(n * p * (1 + 4 * p + p * p) / (1 - p) ** 4 for p, n in pooled)
    deviation = math.sqrt(variance)
    skew, excess = third / deviation**3, fourth / variance**2
    z = NormalDist().inv_cdf(confidence)
    w = z + (z * z - 1) * skew / 6 + (z**3 - 3 * z) * excess / 24 - (2 * z**3 - 5 * z) * skew**2 / 36
    return max(0, math.ceil(mean + deviation * w - 0.5))
