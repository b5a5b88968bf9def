"""Remake rates learned from records."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime

import pytest
from scipy.stats import beta

from service.domain.records import SpliceRecord, Tally
from service.planning.recording.learning import (
    form_of_splice,
    learned,
    learned_of_sleeves,
    recorded_rate,
    tallied,
)

RECORD = SpliceRecord("a" * 32, 1, "flat", 12, 0, datetime(2026, 5, 4, 8, 0, tzinfo=UTC))


def test_of_each_splice_the_last_record_counts() -> None:
    """Splice 1 is recorded twice, and another closure has a splice 1 of its own."""
    records = [
        replace(RECORD, remakes=3),
        replace(RECORD, remakes=1, remakes_after_shrinking=0),
        replace(RECORD, installation="b" * 32, remakes=2),
        replace(RECORD, splice=2, form="single", fibres=1),
    ]
    assert tallied(records) == (Tally("flat", 2, 3, 2), Tally("single", 1, 0, 0))


def test_the_prior_is_worth_its_joints() -> None:
    """5 % known as from 19 joints is one remake: with 81 joints and 4 remakes more, 5 in 105 attempts."""
    rate = learned(Tally("flat", 81, 4, 1), 0.05, 19)
    assert (rate.alpha, rate.beta) == (pytest.approx(5.0), 100)
    assert rate.mean == pytest.approx(5 / 105)
    assert learned_of_sleeves(Tally("flat", 81, 4, 1), 0.05, 19).alpha == pytest.approx(2.0)


def test_without_records_the_rate_is_the_prior() -> None:
    """The mean is the method's own figure, whatever it is worth."""
    assert learned(Tally("single", 0, 0, 0), 0.02, 20).mean == pytest.approx(0.02)


def test_the_interval_is_the_central_ninety_per_cent() -> None:
    """A twentieth of the distribution lies below it and a twentieth above: SciPy's quantiles."""
    told = recorded_rate(Tally("rollable", 120, 14, 6), 0.08, 20)
    a, b = 20 * 0.08 / 0.92 + 14, 140
    assert (told.low, told.high) == (pytest.approx(beta.ppf(0.05, a, b)), pytest.approx(beta.ppf(0.95, a, b)))
    assert told.low < told.rate < told.high


def test_the_interval_narrows_with_records() -> None:
    """The same share of remakes in ten times the joints."""
    few, many = (recorded_rate(Tally("flat", n, n // 20, 0), 0.05, 20) for n in (40, 400))
    assert many.high - many.low < few.high - few.low


def test_a_splice_of_two_forms_counts_as_the_harder_one() -> None:
    """Rollable to flat is rollable (common practice, no source)."""
    assert form_of_splice(["flat", "rollable"]) == "rollable"
    assert form_of_splice(["loose", "flat"]) == "loose"
    with pytest.raises(ValueError, match="empty"):
        form_of_splice([])
