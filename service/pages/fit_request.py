"""From the form of a fit check to the request document that the API takes, and from its pointers back to the fields."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

from service.domain.catalogue import Cable, Catalogue
from service.pages.fit_labels import label_of
from service.pages.fit_rows import Filled, number_in, range_in

_RULES = (("minimise", "minimise"), ("split", "split"), ("keep", "keep"))
_NUMBERS = (("remakes", "remakes"), ("reach", "reach_mm"))
_CREW = (("technicians", "technicians"), ("splicers", "splicers"), ("heaters", "heaters"), ("window", "window_h"))
_SITE = (("site-length", "length_mm"), ("site-width", "width_mm"), ("site-depth", "depth_mm"))


@dataclass(frozen=True, slots=True)
class Fields:
    """A request document, and the field that each of its places was typed into, by pointer."""

    document: dict[str, Any]
    places: dict[str, str] = field(default_factory=dict)

    def field_of(self, pointer: str) -> str | None:
        """The field of a place, or of the nearest place around it; None where there is none."""
        while pointer:
            if pointer in self.places:
                return self.places[pointer]
            pointer = pointer.rpartition("/")[0]
        return None


@dataclass(frozen=True, slots=True)
class Mistake:
    """A fault beside its field, with the name by which people know that; ``field`` None: it is of the whole form."""

    field: str | None
    label: str
    text: str


def request_of(form: Filled, catalogue: Catalogue) -> Fields:
    """The request document that a form asks for. Rows without a cable, and joints without numbers, are left out.

    Nothing is judged here: what is missing is left out and what is no number stays text, so that the API's own schema
    and planner refuse it.
    """
    fields = Fields({}, {"/cables": "cable-1", "/joints": "from-range-1", "/closures": "closure"})
    if form.text("name"):
        fields.document["name"] = form.text("name")
        fields.places["/name"] = "name"
    if form.text("closure"):
        fields.document["closures"] = [form.text("closure")]
    _cables(form, fields)
    _joints(form, fields, catalogue)
    _rules(form, fields)
    # The time is always of interest; who says nothing of the crew gets one technician with one machine.
    fields.document["crew"] = {}
    _group(form, fields, "crew", _CREW)
    if form.text("site-kind"):
        _group(form, fields, "site", _SITE)
        fields.document.setdefault("site", {})["kind"] = form.text("site-kind")
        fields.places["/site/kind"] = "site-kind"
    return fields


def mistakes_of(form: Filled, fields: Fields, errors: Iterable[Mapping[str, Any]]) -> list[Mistake]:
    """The faults of a refused document, each beside its field, in the order of the document."""
    found = []
    for error in errors:
        name = fields.field_of(error.get("pointer", ""))
        found.append(Mistake(name, label_of(form, name) if name else "", _sentence(error)))
    return found


def _sentence(error: Mapping[str, Any]) -> str:
    own = _OWN_WORDS.get((error["pointer"].rpartition("/")[2], error["code"]))
    text = own or str(error["detail"])
    return text[:1].upper() + text[1:] + ("" if text.endswith((".", "?", "!")) else ".")


_OWN_WORDS = {
    ("cable", "required"): "Choose the cable.",
    ("cables", "items"): "Choose at least one cable.",
    ("joints", "items"): "Say which ribbons or fibres are joined.",
}
_OWN_WORDS.update({(name, "required"): "Give this size." for _, name in _SITE})
_OWN_WORDS.update({(side, "one_of"): "Say which ones, such as 1-12." for side in ("from", "to")})


def _cables(form: Filled, fields: Fields) -> None:
    cables = fields.document["cables"] = []
    for row in range(1, form.cables + 1):
        code, slack = form.text(f"cable-{row}"), form.text(f"slack-{row}")
        # Further rows that nobody has touched are there to be filled in, and say nothing.
        if not code and not slack and (row > 1 or form.hanging) and not _is_joined(form, row):
            continue
        pointer = f"/cables/{len(cables)}"
        cable: dict[str, Any] = {"tag": form.tag(row)}
        if code:
            cable["cable"] = code
        if slack:
            cable["slack_m"] = number_in(slack)
        if form.text(f"express-{row}"):
            cable["express"] = True
        cables.append(cable)
        fields.places[pointer] = fields.places[f"{pointer}/cable"] = f"cable-{row}"
        fields.places[f"{pointer}/tag"] = f"tag-{row}"
        fields.places[f"{pointer}/slack_m"] = f"slack-{row}"
        fields.places[f"{pointer}/express"] = f"express-{row}"


def _is_joined(form: Filled, row: int) -> bool:
    """Whether a joint names the cable of a row; into a closure that hangs, whether one with numbers does."""
    rows = range(1, form.joints + 1)
    said = [joint for joint in rows if not form.hanging or form.range(joint, "from") or form.range(joint, "to")]
    return form.tag(row) in {form.side(joint, side) for joint in said for side in ("from", "to")}


def _joints(form: Filled, fields: Fields, catalogue: Catalogue) -> None:
    joints = fields.document["joints"] = []
    known = {each.tag: catalogue.cables.get(each.cable) for each in form.hanging}
    known |= {each["tag"]: catalogue.cables.get(each.get("cable", "")) for each in fields.document["cables"]}
    for row in range(1, form.joints + 1):
        if not form.range(row, "from") and not form.range(row, "to"):
            continue
        pointer = f"/joints/{len(joints)}"
        unit = form.text(f"unit-{row}") or _unit(known.get(form.side(row, side)) for side in ("from", "to"))
        joint: dict[str, Any] = {}
        for side in ("from", "to"):
            numbers, end = range_in(form.range(row, side)), form.text(f"{side}-end-{row}")
            joint[side] = {"cable": form.side(row, side)}
            if numbers:
                joint[side][unit] = numbers
            if end:
                joint[side]["end"] = end
                fields.places[f"{pointer}/{side}/end"] = f"{side}-end-{row}"
            fields.places[f"{pointer}/{side}"] = f"{side}-range-{row}"
            fields.places[f"{pointer}/{side}/cable"] = f"{side}-{row}"
        if form.text(f"apart-{row}"):
            joint["keep_apart"] = form.text(f"apart-{row}")
        if form.text(f"halves-{row}"):
            joint["split_ribbons"] = True
        joints.append(joint)
        fields.places[pointer] = f"from-range-{row}"
        fields.places[f"{pointer}/keep_apart"] = f"apart-{row}"
        fields.places[f"{pointer}/split_ribbons"] = f"halves-{row}"


def _unit(cables: Iterable[Cable | None]) -> str:
    """Ribbons where both cables have them, else fibres; an unknown cable is refused anyway."""
    return "ribbons" if all(cable is None or _has_ribbons(cable) for cable in cables) else "fibres"


def _has_ribbons(cable: Cable) -> bool:
    return cable.ribbon_fibres > 1 and (cable.ribbon_form != "loose" or bool(cable.ribbonise))


def _rules(form: Filled, fields: Fields) -> None:
    rules: dict[str, Any] = {}
    for name, member in _RULES:
        if form.text(name):
            rules[member] = form.text(name)
            fields.places[f"/rules/{member}"] = name
    for name, member in _NUMBERS:
        if form.text(name):
            rules[member] = number_in(form.text(name))
            fields.places[f"/rules/{member}"] = name
    if form.text("reserve"):
        rules["reserve"] = {"percent": number_in(form.text("reserve")), "in": form.text("reserve-in") or "trays"}
        fields.places["/rules/reserve"] = "reserve"
        fields.places["/rules/reserve/in"] = "reserve-in"
    if rules:
        fields.document["rules"] = rules


def _group(form: Filled, fields: Fields, group: str, names: Iterable[tuple[str, str]]) -> None:
    """The numbers of a member that is an object."""
    for name, member in names:
        fields.places[f"/{group}/{member}"] = name
        if form.text(name):
            fields.document.setdefault(group, {})[member] = number_in(form.text(name))
