"""How often joints were made again, in plain words: what all splice records together have taught."""

from __future__ import annotations

import math
from typing import NamedTuple

from flask import Response

from service.api.state import state
from service.domain.records import RecordedRate
from service.pages.blueprint import routes
from service.pages.rendering import page
from service.planning.recording.rates import rates_of

NAMES = {
    "flat": "Flat ribbons",
    "rollable": "Rollable ribbons",
    "loose": "Loose fibres laid into ribbons",
    "single": "Single fibres",
}
_ALWAYS = 0.95
"""From this rate on "one in so many" would say one in one."""


class Learned(NamedTuple):
    """A form with its rate, and the rate and both ends of its interval in words."""

    name: str
    rate: RecordedRate
    mean: str
    low: str
    high: str


@routes.get("/records")
def read_rates() -> Response:
    """The rates, form by form, those with records first."""
    store = state().store
    rates = rates_of(store.records.tallies(), list(store.snapshot().methods.values()))
    told = [Learned(NAMES[each.form], each, *map(in_words, (each.rate, each.low, each.high))) for each in rates]
    return page("rates.html", rates=sorted(told, key=lambda each: each.rate.joints == 0))


def in_words(rate: float) -> str:
    """A rate as people say it: ``1 joint in 13``, ``3 joints in 10``.

    >>> in_words(0.08)
    '1 joint in 13'
    """
    if rate <= 1e-4:
        return "hardly any joint"
    if rate >= _ALWAYS:
        return "nearly every joint"
    # From two in seven on, "one in three" would be too coarse.
    return f"1 joint in {_rounded(1 / rate)}" if rate < 2 / 7 else f"{rate * 10:.0f} joints in 10"


def _rounded(number: float) -> int:
    """To two figures, and with no decimals: more would promise what no record can tell."""
    return int(round(number, -max(0, math.floor(math.log10(number)) - 1)))
