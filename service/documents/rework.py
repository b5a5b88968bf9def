"""How often joints are made again, as JSON-able documents, and back; and the rates that a plan learned."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from service.documents.numbers import plain, rounded
from service.domain.records import RecordedRate, Tally
from service.domain.rework import Given, Learned, Rework, mean_rate

Document = dict[str, Any]


def rework_to(splices: int, rework: Rework) -> Document:
    """Write so many splices with their rate, nothing rounded; ``form`` where it is known whose it is.

    A learned rate is written with its prior, the records, and the parameters ``alpha`` and ``beta`` that follow.
    """
    document: Document = {"splices": splices, "rate": plain(mean_rate(rework))}
    if isinstance(rework, Given):
        document["form"] = rework.form
    if isinstance(rework, Learned):
        document["form"] = rework.form
        document["prior"], document["prior_joints"] = plain(rework.prior), rework.prior_joints
        document["joints"], document["remakes"] = rework.joints, rework.remakes
        document["alpha"], document["beta"] = plain(rework.alpha), plain(rework.beta)
    return document


def rework_from(document: Mapping[str, Any]) -> tuple[int, Rework]:
    """Read what ``rework_to`` wrote."""
    splices, rate = document["splices"], float(document["rate"])
    if "alpha" in document:
        prior, counts = float(document["prior"]), (document[name] for name in ("prior_joints", "joints", "remakes"))
        return splices, Learned(document["form"], prior, *counts)
    return splices, Given(document["form"], rate) if "form" in document else rate


def recorded_to(rate: RecordedRate) -> Document:
    """Write a learned rate as people read it: what was recorded, what was known before, mean and interval."""
    return {
        "form": rate.form,
        "joints": rate.joints,
        "remakes": rate.remakes,
        "remakes_after_shrinking": rate.remakes_after_shrinking,
        "prior": plain(rate.prior),
        "prior_joints": rate.prior_joints,
        "rate": rounded(rate.rate, 6),
        "low": rounded(rate.low, 6),
        "high": rounded(rate.high, 6),
    }


def recorded_from(document: Mapping[str, Any]) -> RecordedRate:
    """Read what ``recorded_to`` wrote."""
    return RecordedRate(**document)


def tallies_to(tallies: tuple[Tally, ...]) -> list[list[Any]]:
    """Write tallies to be kept with what is planned by them."""
    return [list(tally) for tally in tallies]


def tallies_from(document: list[list[Any]]) -> tuple[Tally, ...]:
    """Read what ``tallies_to`` wrote."""
    return tuple(Tally(*tally) for tally in document)


def tallies_of_plan(document: Mapping[str, Any]) -> tuple[Tally, ...]:
    """The tallies that a plan's document says it learned from: with them it comes out the same again."""
    rates = (recorded_from(each) for each in document.get("recorded", ()))
    return tuple(sorted({Tally(*rate[:4]) for rate in rates}))
