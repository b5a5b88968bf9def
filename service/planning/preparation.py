"""Which method prepares an end, and the crew's card for it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Literal, NamedTuple

from service.domain.catalogue import Cable, Method, MethodForm
from service.domain.plan import Preparation
from service.standards.methods import SHIPPED, ShippedForm

SpliceForm = Literal["ribbon", "single"]

_FIGURES: Mapping[str, str] = {
    "strip_dwell_s": "strip dwell",
    "strip_repeats": "strip repeats",
    "strip_length_mm": "strip length",
    "strip_tolerance_mm": "strip tolerance",
    "cleave_length_mm": "cleave length",
    "cutback_mm": "cutback",
    "clean_s": "clean time",
    "cleave_s": "cleave time",
    "fuse_s": "fuse time",
    "heat_s": "heat time",
    "lay_s": "lay time",
    "rework": "rework rate",
}


class EndsToPrepare(NamedTuple):
    """So many ends of a cable that are prepared alike: whole ribbons of so many fibres, or single fibres."""

    cable: Cable
    form: SpliceForm
    fibres: int
    ends: int


@dataclass(frozen=True, slots=True)
class MethodInUse:
    """A method with its missing figures filled in, whether it is a shipped default, and notes on what was filled in."""

    method: Method
    shipped: bool
    notes: tuple[str, ...] = ()


def method_for(cable: Cable, form: SpliceForm, fibres: int, methods: Iterable[Method]) -> MethodInUse:
    """The method that prepares a cable's ends for splices of one form and number of fibres.

    First the one that the cable names, where it suits the form and takes so many fibres; then the catalogue's for just
    so many fibres, then for any number, the smallest code of equals; then the shipped default. A mass splice of a tube
    of loose fibres, ribbonised in the field, is prepared as a flat ribbon.
    """
    forms = _forms(cable, form)
    suited = sorted((method for method in methods if method.ribbon_form in forms), key=lambda method: method.code)
    for method in suited:
        if method.code == cable.method and (method.fibres is None or fibres <= method.fibres):
            return filled(method)
    for wanted in (fibres, None):
        for method in suited:
            if method.fibres == wanted:
                return filled(method)
    default = SHIPPED[_shipped_form(forms[0])]
    what = "single fibres" if form == "single" else f"{forms[0]} ribbons of {fibres}"
    note = f"the catalogue has no method for {what} of cable {cable.code}: the shipped default {default.code} is used"
    return MethodInUse(default, True, (note,))


def filled(method: Method) -> MethodInUse:
    """The method with each missing figure from the shipped default of its form, and a note that names them."""
    missing = [member for member in _FIGURES if getattr(method, member) is None]
    if not missing:
        return MethodInUse(method, False)
    default = SHIPPED[_shipped_form(method.ribbon_form)]
    told = ", ".join(_FIGURES[member] for member in missing)
    note = f"method {method.code} leaves out {told}: taken from the shipped default {default.code}"
    return MethodInUse(replace(method, **{member: getattr(default, member) for member in missing}), False, (note,))


def cards(uses: Iterable[EndsToPrepare], methods: Iterable[Method]) -> tuple[Preparation, ...]:
    """One card for each method and number of fibres, in the order of use, with its ends added up.

    Ends that are ribbonised in the field have a card of their own, which says so.
    """
    methods = tuple(methods)
    found: dict[tuple[str, SpliceForm, int], MethodInUse] = {}
    ends: dict[tuple[str, int, bool, bool], int] = {}
    chosen: dict[tuple[str, int, bool, bool], MethodInUse] = {}
    for use in uses:
        if use.ends <= 0:
            continue
        kind = (use.cable.code, use.form, use.fibres)
        in_use = found.get(kind) or found.setdefault(kind, method_for(use.cable, use.form, use.fibres, methods))
        ribbonised = use.form == "ribbon" and use.cable.ribbon_form == "loose"
        key = (in_use.method.code, use.fibres, in_use.shipped, ribbonised)
        chosen[key] = in_use
        ends[key] = ends.get(key, 0) + use.ends
    return tuple(card(chosen[key], key[1], ends[key], key[3]) for key in ends)


def card(in_use: MethodInUse, fibres: int, ends: int, ribbonised: bool = False) -> Preparation:
    """The card of so many ends by one method; ``ribbonised``: they are laid into ribbons in the field first."""
    method = in_use.method
    notes = ["Lay the loose fibres in colour order into a ribbon before stripping."] if ribbonised else []
    if method.notes is not None:
        notes.append(method.notes)
    notes.extend(f"{note[0].upper()}{note[1:]}." for note in in_use.notes)
    return Preparation(
        method=method.code,
        title=method.title,
        ribbon_form=method.ribbon_form,
        fibres=fibres,
        ends=ends,
        strip_dwell_s=method.strip_dwell_s,
        strip_repeats=method.strip_repeats,
        strip_length_mm=method.strip_length_mm,
        strip_tolerance_mm=method.strip_tolerance_mm,
        cleave_length_mm=method.cleave_length_mm,
        cutback_mm=method.cutback_mm,
        holder=method.holder,
        notes=" ".join(notes) or None,
        shipped=in_use.shipped,
    )


def _forms(cable: Cable, form: SpliceForm) -> tuple[MethodForm, ...]:
    if form == "single":
        return ("single", "loose")
    return ("rollable",) if cable.ribbon_form == "rollable" else ("flat",)


def _shipped_form(form: MethodForm) -> ShippedForm:
    return "single" if form == "loose" else form
