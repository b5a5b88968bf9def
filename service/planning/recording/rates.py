"""What all records have taught, form by form, for people who look at them."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from service.domain.catalogue import Method
from service.domain.records import RecordedRate, Tally
from service.domain.rework import SpliceForm
from service.planning.recording.learning import by_form, recorded_rate
from service.standards.methods import PRIOR_JOINTS, SHIPPED, ShippedForm

FORMS: tuple[SpliceForm, ...] = ("flat", "rollable", "loose", "single")
"""Every form of splice, in the order in which they are told."""

_PREPARED_AS: dict[SpliceForm, ShippedForm] = {
    "flat": "flat",
    "rollable": "rollable",
    "loose": "flat",
    "single": "single",
}


def rates_of(tallies: Iterable[Tally], methods: Sequence[Method]) -> tuple[RecordedRate, ...]:
    """The remake rate of every form: what is known before any record, and after those that there are.

    Before: the highest rate of the catalogue's methods for the form, else that of the shipped method.
    """
    known = by_form(tallies)
    return tuple(recorded_rate(known.get(form, Tally(form, 0, 0, 0)), *_prior(form, methods)) for form in FORMS)


def _prior(form: SpliceForm, methods: Sequence[Method]) -> tuple[float, int]:
    own = [method for method in methods if method.ribbon_form == form and method.rework is not None]
    rates = [(method.rework or 0.0, -(method.rework_joints or PRIOR_JOINTS)) for method in own]
    if not rates:
        shipped = SHIPPED[_PREPARED_AS[form]]
        rates = [(shipped.rework or 0.0, -PRIOR_JOINTS)]
    rate, joints = max(rates)
    return rate, -joints
