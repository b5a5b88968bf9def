"""How often the joints of a plan are made again: by the rules, by the methods, or as the records have taught."""

from __future__ import annotations

from collections.abc import Iterable

from service.domain.records import RecordedRate, Tally
from service.domain.rework import Given, Learned, SpliceForm
from service.domain.splices import Work
from service.planning.recording.learning import form_of_splice, learned, learned_of_sleeves, recorded_rate
from service.planning.spares import mass_rework
from service.planning.stowage import Pairing, Stowage
from service.standards.methods import PRIOR_JOINTS


def rework_of(pairing: Pairing, stowage: Stowage) -> Given | Learned:
    """How often a joint of a pairing is made again: by the request, else the higher of the two methods' priors."""
    rules, form = stowage.rules, form_of(pairing)
    if rules.rework == "recorded":
        return learned(_tally(form, stowage), *prior_of(pairing))
    if rules.rework is not None:
        return Given(form, rules.rework)
    if rules.rework_fibre is not None:
        return Given(form, mass_rework(rules.rework_fibre, pairing.from_.fibres))
    return Given(form, prior_of(pairing)[0])


def sleeve_rework_of(pairing: Pairing, stowage: Stowage) -> Given | Learned:
    """How often a joint of a pairing costs another sleeve.

    Only remakes found after shrinking do: ``rework_sleeve`` where the request tells it apart, and records tell it;
    else every remake is taken to cost one.
    """
    rules, form = stowage.rules, form_of(pairing)
    if rules.rework_sleeve is not None:
        return Given(form, rules.rework_sleeve)
    if rules.rework == "recorded":
        return learned_of_sleeves(_tally(form, stowage), *prior_of(pairing))
    return rework_of(pairing, stowage)


def rates_recorded(work: Work, stowage: Stowage) -> tuple[RecordedRate, ...] | None:
    """The rates that were learned for the splices of a plan, by form and prior; None where it was not asked for."""
    if stowage.rules.rework != "recorded":
        return None
    pairings = (stowage.pairing(bundle) for bundle in work.bundles)
    return tuple(sorted({recorded_rate(_tally(form_of(each), stowage), *prior_of(each)) for each in pairings}))


def notes_of_rates(rates: Iterable[RecordedRate] | None) -> tuple[str, ...]:
    """What to know of rates that rest on no record at all."""
    return tuple(
        f"no splice record is of {_TOLD[rate.form]}: their spares rest on the method's rate of {rate.prior * 100:g} %, "
        f"as if known from {rate.prior_joints:g} joints"
        for rate in rates or ()
        if not rate.joints
    )


def form_of(pairing: Pairing) -> SpliceForm:
    """The form that the splices of a pairing are counted under."""
    if pairing.from_.form == "single":
        return "single"
    return form_of_splice(end.cable.ribbon_form for end in (pairing.from_, pairing.to))


def prior_of(pairing: Pairing) -> tuple[float, int]:
    """The higher of the two methods' priors of a remake, and how many joints it is worth; of equals the fewer."""
    priors = []
    for end in (pairing.from_, pairing.to):
        joints = end.method.rework_joints
        priors.append((end.method.rework or 0.0, -(PRIOR_JOINTS if joints is None else joints)))
    rate, joints = max(priors)
    return rate, -joints


def _tally(form: SpliceForm, stowage: Stowage) -> Tally:
    return stowage.recorded.get(form, Tally(form, 0, 0, 0))


_TOLD = {
    "flat": "flat ribbons",
    "rollable": "rollable ribbons",
    "loose": "loose fibres laid into ribbons",
    "single": "single fibres",
}
