"""Catalogue entries as documents: dicts of the contract's members, and back.

The functions take a document as valid by the schema and construct without asking again. Two members of a
document are the store's affair and no part of an entry: ``revision`` (read-only) and ``retired``; they are
passed over here. Money is a decimal string, kept as written; a ``quantity`` is a JSON number.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from decimal import Decimal
from typing import Any

from service.domain.catalogue import (
    CURRENCY,
    KINDS,
    Bank,
    Cable,
    Catalogue,
    Closure,
    Included,
    MaterialRule,
    Method,
    Port,
    Sleeve,
    Tray,
    TrayAllowance,
    When,
)

Document = Mapping[str, Any]
Entry = Sleeve | Tray | Closure | Cable | Method | MaterialRule

_SLEEVE = ("code", "title", "form", "fibres", "length_mm", "slot_kind", "pack_of", "width_mm", "height_mm")
_TRAY = (
    "sleeve_length_max_mm",
    "storage_mm2",
    "entry_mm",
    "entry_ribbons_max",
    "flat_turns_max",
)
_CLOSURE = (
    "opening_step_mm",
    "express_mm2",
    "express_turn_mm",
    "length_mm",
    "diameter_mm",
    "mass_kg",
    "rated_ribbon_fibres",
    "rated_single_fibres",
)
_CABLE = (
    "code",
    "title",
    "od_mm",
    "fibres",
    "ribbon_fibres",
    "ribbons_per_tube",
    "ribbon_form",
    "pitch_um",
    "fibre",
)
_CABLE_OPTIONAL = ("tube_od_mm", "bend_factor", "method")
_METHOD = tuple(Method.__dataclass_fields__)
_WHEN = tuple(When.__dataclass_fields__)


def quantity_from(number: float) -> Decimal:
    """A JSON number as the decimal that was written, not as the binary fraction nearest to it."""
    return Decimal(number) if isinstance(number, int) else Decimal(repr(number))


def quantity_to(quantity: Decimal) -> int | float:
    """A quantity as a JSON number: whole where it is whole."""
    return int(quantity) if quantity == quantity.to_integral_value() else float(quantity)


def _price(document: Document) -> Decimal | None:
    price = document.get("price")
    return None if price is None else Decimal(price)


def _currency(document: Document) -> str:
    return document.get("currency") or CURRENCY


def _money_to(entry: Sleeve | Tray | Closure | MaterialRule) -> dict[str, str]:
    if entry.price is None:
        return {} if entry.currency == CURRENCY else {"currency": entry.currency}
    return {"price": f"{entry.price:f}", "currency": entry.currency}


def _given(entry: Any, names: tuple[str, ...]) -> dict[str, Any]:
    members = ((name, getattr(entry, name)) for name in names)
    return {name: value for name, value in members if value is not None}


def sleeve_from(document: Document) -> Sleeve:
    """A sleeve from its document."""
    return Sleeve(
        code=document["code"],
        title=document["title"],
        form=document["form"],
        fibres=document["fibres"],
        length_mm=document["length_mm"],
        slot_kind=document["slot_kind"],
        pack_of=document["pack_of"],
        width_mm=document.get("width_mm"),
        height_mm=document.get("height_mm"),
        price=_price(document),
        currency=_currency(document),
    )


def sleeve_to(sleeve: Sleeve) -> dict[str, Any]:
    """A sleeve's document."""
    return {**_given(sleeve, _SLEEVE), **_money_to(sleeve)}


def tray_from(document: Document) -> Tray:
    """A tray from its document."""
    get = document.get
    return Tray(
        code=document["code"],
        title=document["title"],
        pitch_mm=document["pitch_mm"],
        banks=tuple(Bank(bank["count"], dict(bank["slots"])) for bank in document["banks"]),
        turn_mm=document["turn_mm"],
        bend_radius_mm=document["bend_radius_mm"],
        price=_price(document),
        currency=_currency(document),
        **{name: get(name) for name in _TRAY},
    )


def tray_to(tray: Tray) -> dict[str, Any]:
    """A tray's document."""
    return {
        "code": tray.code,
        "title": tray.title,
        "pitch_mm": tray.pitch_mm,
        "banks": [{"count": bank.count, "slots": dict(bank.slots)} for bank in tray.banks],
        "turn_mm": tray.turn_mm,
        "bend_radius_mm": tray.bend_radius_mm,
        **_given(tray, _TRAY),
        **_money_to(tray),
    }


def closure_from(document: Document) -> Closure:
    """A closure from its document."""
    get = document.get
    return Closure(
        code=document["code"],
        title=document["title"],
        form=document["form"],
        stack_mm=document["stack_mm"],
        trays=tuple(TrayAllowance(each["tray"], each["most"]) for each in document["trays"]),
        ports=tuple(
            Port(port["name"], port["count"], port["od_min_mm"], port["od_max_mm"], port["cables"])
            for port in document["ports"]
        ),
        lead_mm=document["lead_mm"],
        includes=tuple(Included(each["material"], quantity_from(each["quantity"])) for each in get("includes") or ()),
        price=_price(document),
        currency=_currency(document),
        **{name: get(name) for name in _CLOSURE},
    )


def closure_to(closure: Closure) -> dict[str, Any]:
    """A closure's document."""
    document: dict[str, Any] = {
        "code": closure.code,
        "title": closure.title,
        "form": closure.form,
        "stack_mm": closure.stack_mm,
        "trays": [{"tray": each.tray, "most": each.most} for each in closure.trays],
        "ports": [_given(port, ("name", "count", "od_min_mm", "od_max_mm", "cables")) for port in closure.ports],
        "lead_mm": closure.lead_mm,
        **_given(closure, _CLOSURE),
    }
    if closure.includes:
        document["includes"] = [
            {"material": each.material, "quantity": quantity_to(each.quantity)} for each in closure.includes
        ]
    return {**document, **_money_to(closure)}


def cable_from(document: Document) -> Cable:
    """A cable from its document."""
    armoured, ribbonise = document.get("armoured"), document.get("ribbonise")
    return Cable(
        code=document["code"],
        title=document["title"],
        od_mm=document["od_mm"],
        fibres=document["fibres"],
        ribbon_fibres=document["ribbon_fibres"],
        ribbons_per_tube=document["ribbons_per_tube"],
        ribbon_form=document["ribbon_form"],
        pitch_um=document["pitch_um"],
        fibre=document["fibre"],
        armoured=False if armoured is None else armoured,
        ribbonise=True if ribbonise is None else ribbonise,
        tube_od_mm=document.get("tube_od_mm"),
        bend_factor=document.get("bend_factor"),
        method=document.get("method"),
    )


def cable_to(cable: Cable) -> dict[str, Any]:
    """A cable's document; ``armoured`` and ``ribbonise`` stand in it where they are not the default."""
    document = _given(cable, _CABLE)
    if cable.armoured:
        document["armoured"] = True
    if not cable.ribbonise:
        document["ribbonise"] = False
    return {**document, **_given(cable, _CABLE_OPTIONAL)}


def method_from(document: Document) -> Method:
    """A method from its document."""
    get = document.get
    return Method(*(get(name) for name in _METHOD))  # type: ignore[arg-type]


def method_to(method: Method) -> dict[str, Any]:
    """A method's document."""
    return _given(method, _METHOD)


def material_from(document: Document) -> MaterialRule:
    """A material rule from its document."""
    when = document.get("when")
    return MaterialRule(
        code=document["code"],
        title=document["title"],
        per=document["per"],
        quantity=quantity_from(document["quantity"]),
        unit=document["unit"],
        when=When(*(when.get(name) for name in _WHEN)) if when else When(),
        pack_of=document.get("pack_of"),
        price=_price(document),
        currency=_currency(document),
    )


def material_to(rule: MaterialRule) -> dict[str, Any]:
    """A material rule's document; ``when`` stands in it where it narrows the rule."""
    document = {
        "code": rule.code,
        "title": rule.title,
        "per": rule.per,
        "quantity": quantity_to(rule.quantity),
        "unit": rule.unit,
    }
    when = _given(rule.when, _WHEN)
    return {**document, **({"when": when} if when else {}), **_given(rule, ("pack_of",)), **_money_to(rule)}


_FROM: Mapping[str, Callable[[Document], Entry]] = {
    "sleeves": sleeve_from,
    "trays": tray_from,
    "closures": closure_from,
    "cables": cable_from,
    "methods": method_from,
    "materials": material_from,
}
_TO: Mapping[str, Callable[[Any], dict[str, Any]]] = {
    "sleeves": sleeve_to,
    "trays": tray_to,
    "closures": closure_to,
    "cables": cable_to,
    "methods": method_to,
    "materials": material_to,
}


def entry_from(kind: str, document: Document) -> Entry:
    """An entry of section ``kind`` (one of ``KINDS``) from its document."""
    return _FROM[kind](document)


def entry_to(kind: str, entry: Entry) -> dict[str, Any]:
    """The document of an entry of section ``kind``; what is not given is left out."""
    return _TO[kind](entry)


def catalogue_from(document: Document) -> Catalogue:
    """A catalogue from a whole document; a section that is absent is empty.

    An entry with ``"retired": true`` is named in ``retired`` only; ``revision`` members are taken over, so that
    a catalogue that was got from a store names the revisions it had there.
    """
    sections: dict[str, Any] = {}
    revisions: dict[str, int] = {}
    retired = set()
    for kind in KINDS:
        entries = {}
        for each in document.get(kind) or ():
            code = each["code"]
            revisions[f"{kind}/{code}"] = each.get("revision") or 1
            if each.get("retired"):
                retired.add(f"{kind}/{code}")
            else:
                entries[code] = _FROM[kind](each)
        sections[kind] = entries
    return Catalogue(**sections, revisions=revisions, retired=frozenset(retired))
