"""Remake rates learned from records: the prior of the method, and what the joints of that form took."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from functools import lru_cache

from service.domain.records import RecordedRate, SpliceRecord, Tally
from service.domain.rework import Learned, SpliceForm
from service.planning.incomplete_beta import rate_at

COVERED = 0.9
"""The probability that the interval told of a rate covers it; what lies outside is half below and half above."""

_HARDEST_FIRST: tuple[SpliceForm, ...] = ("rollable", "loose", "flat", "single")


def form_of_splice(forms: Iterable[SpliceForm]) -> SpliceForm:
    """The form that a splice is counted under: of two ends that differ the one that is harder to keep straight.

    Rollable ribbon before loose fibres laid into a ribbon, and these before flat ribbon (common practice, no source).
    Raises ``ValueError`` where no form is given.
    """
    return min(forms, key=_HARDEST_FIRST.index)


def tallied(records: Iterable[SpliceRecord]) -> tuple[Tally, ...]:
    """The records added up by form; of each splice of an installation its last record counts."""
    last = {(record.installation, record.splice): record for record in records}
    counts: dict[SpliceForm, list[int]] = {}
    for record in last.values():
        count = counts.setdefault(record.form, [0, 0, 0])
        count[0] += 1
        count[1] += record.remakes
        count[2] += record.sleeves_lost
    return tuple(Tally(form, *counts[form]) for form in sorted(counts))


def by_form(tallies: Iterable[Tally]) -> Mapping[SpliceForm, Tally]:
    """The tallies by their form."""
    return {tally.form: tally for tally in tallies}


def learned(tally: Tally, prior: float, prior_joints: int) -> Learned:
    """The rate of all remakes: what is known after the records of a form."""
    return Learned(tally.form, prior, prior_joints, tally.joints, tally.remakes)


def learned_of_sleeves(tally: Tally, prior: float, prior_joints: int) -> Learned:
    """The rate of the remakes that cost the sleeve. Its prior is that of all remakes: rather a sleeve too many."""
    return Learned(tally.form, prior, prior_joints, tally.joints, tally.remakes_after_shrinking)


@lru_cache(maxsize=256)
def recorded_rate(tally: Tally, prior: float, prior_joints: int) -> RecordedRate:
    """The mean of the rate of all remakes, and its central 90 % interval."""
    rate = learned(tally, prior, prior_joints)
    low = high = 0.0
    if rate.alpha > 0:
        outside = (1 - COVERED) / 2
        low, high = (rate_at(level, rate.alpha, rate.beta) for level in (outside, 1 - outside))
    return RecordedRate(*tally, prior, prior_joints, rate.mean, low, high)
