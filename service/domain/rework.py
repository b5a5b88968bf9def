"""How often joints are made again: at a rate that is given, or at one that is learned from records."""

from __future__ import annotations

from typing import NamedTuple

from service.domain.catalogue import MethodForm

SpliceForm = MethodForm
"""What is spliced: ribbons by their form (``loose``: loose fibres laid into a ribbon), or fibre by fibre."""


class Learned(NamedTuple):
    """A rate known from a prior and from records: the probability p that a joint is made again is Beta distributed.

    The prior holds ``prior`` for the mean and is worth ``prior_joints`` joints; records add ``remakes`` that ``joints``
    took. A joint that is good after k remakes has the likelihood ``(1 - p) p^k``, so records add their joints to beta
    and their remakes to alpha. All splices of one form share one p, whatever plans they stand in.
    """

    form: SpliceForm
    prior: float
    prior_joints: int
    joints: int
    remakes: int

    @property
    def alpha(self) -> float:
        """The prior's remakes, those that its mean makes of its joints, and the recorded ones."""
        return self.prior_joints * self.prior / (1 - self.prior) + self.remakes

    @property
    def beta(self) -> float:
        """The prior's joints and the recorded ones."""
        return self.prior_joints + self.joints

    @property
    def mean(self) -> float:
        """The expected probability that a joint is made again."""
        return self.alpha / (self.alpha + self.beta)


class Given(NamedTuple):
    """A rate that is taken as known, and the form of the splices that have it."""

    form: SpliceForm
    rate: float


Rework = float | Given | Learned
"""A rate that is known (a number where it does not matter whose it is), or one that is learned."""


def mean_rate(rework: Rework) -> float:
    """The rate itself, or the expected one."""
    if isinstance(rework, Learned):
        return rework.mean
    return rework.rate if isinstance(rework, Given) else rework


def rework_rank(rework: Rework) -> tuple[float, str, float, float, int, int]:
    """What rates are put in order by: the (expected) rate, then whose it is and what it was learned from."""
    if isinstance(rework, Learned):
        return rework.mean, rework.form, rework.prior, rework.prior_joints, rework.joints, rework.remakes
    if isinstance(rework, Given):
        return rework.rate, rework.form, 0.0, 0.0, 0, 0
    return rework, "", 0.0, 0.0, 0, 0
