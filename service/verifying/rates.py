"""The rates behind the spares, read from a certificate, and the probabilities of remakes that follow from them."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import exp, fsum, lgamma, log, log1p

from service.verifying.members import Malformed, Member

_NEAR = 1e-9


@dataclass(frozen=True, slots=True)
class LearnedFacts:
    """What a learned rate was made from, and the Beta distribution that it is said to come to."""

    form: str
    prior: float
    prior_joints: int
    joints: int
    remakes: int
    alpha: float
    beta: float


@dataclass(frozen=True, slots=True)
class RateFacts:
    """So many splices of a sleeve, and the (mean) rate at which a joint costs another one."""

    splices: int
    rate: float
    learned: LearnedFacts | None


def rate_from(group: Member) -> RateFacts:
    """Read a group; raises ``Malformed``, also where a learned rate does not follow from what it was made from."""
    splices, rate = group["splices"].whole(), group["rate"].number()
    if rate >= 1:
        raise Malformed(f"{group.pointer}/rate", "is not below 1")
    if not group.has("alpha"):
        return RateFacts(splices, rate, None)
    prior, prior_joints = group["prior"].number(), group["prior_joints"].whole(1)
    joints, remakes = group["joints"].whole(), group["remakes"].whole()
    alpha, beta = group["alpha"].number(), group["beta"].number()
    if prior >= 1:
        raise Malformed(f"{group.pointer}/prior", "is not below 1")
    if not _near(beta, prior_joints + joints) or beta <= 0:
        raise Malformed(f"{group.pointer}/beta", "is not the joints of prior and records")
    if not _near(alpha, prior * prior_joints / (1 - prior) + remakes):
        raise Malformed(f"{group.pointer}/alpha", "is not the remakes of prior and records")
    if not _near(rate, alpha / (alpha + beta)):
        raise Malformed(f"{group.pointer}/rate", "is not the mean of the learned rate")
    learned = LearnedFacts(group["form"].text(), prior, prior_joints, joints, remakes, alpha, beta)
    return RateFacts(splices, rate, learned)


def probabilities_within(groups: Iterable[RateFacts], spares: int) -> list[float]:
    """P(remakes <= s) for s from 0 to ``spares``.

    Remakes of N joints at a given rate p are negative binomial: a term is (N + k - 1 over k) (1 - p)^N p^k. At a rate
    that is Beta(a, b) distributed it is (N + k - 1 over k) B(a + k, b + N) / B(a, b), the N being all splices of one
    form, which share it: of several the one with most records, of equals the highest, counts. Terms are folded.
    """
    given: dict[float, int] = {}
    shared: dict[str, list[RateFacts]] = {}
    for group in groups:
        if group.learned is not None:
            shared.setdefault(group.learned.form, []).append(group)
        elif group.splices and group.rate:
            given[group.rate] = given.get(group.rate, 0) + group.splices
    terms = [1.0, *[0.0] * spares]
    for p, n in given.items():
        own = [exp(_ways(n, k) + n * log1p(-p) + k * log(p)) for k in range(spares + 1)]
        terms = _folded(terms, own)
    for of_form in shared.values():
        a, b = max(_known(group) for group in of_form)[3:]
        n = sum(group.splices for group in of_form)
        if a and n:
            none = _log_beta(a, b)
            own = [exp(_ways(n, k) + _log_beta(a + k, b + n) - none) for k in range(spares + 1)]
            terms = _folded(terms, own)
    reached, total = [], 0.0
    for term in terms:
        total += term
        reached.append(total)
    return reached


def _known(group: RateFacts) -> tuple[int, float, float, float, float]:
    facts = group.learned
    assert facts is not None
    return facts.joints, group.rate, -facts.prior_joints, facts.alpha, facts.beta


def _folded(one: Sequence[float], other: Sequence[float]) -> list[float]:
    if one[0] == 1.0:
        return list(other)
    return [fsum(one[j] * other[k - j] for j in range(k + 1)) for k in range(len(one))]


def _ways(n: int, k: int) -> float:
    return lgamma(n + k) - lgamma(k + 1) - lgamma(n)


def _log_beta(a: float, b: float) -> float:
    return lgamma(a) + lgamma(b) - lgamma(a + b)


def _near(one: float, other: float) -> bool:
    return abs(one - other) <= _NEAR * max(1.0, abs(other))
