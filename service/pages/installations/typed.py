"""What is typed of a visit: the texts of a short form, its document, and the faults beside its fields."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any
from uuid import uuid4

from flask import request

from service.api.problems import bad_parameters
from service.pages.fit_rows import number_in
from service.store import Revision

LABELS = {
    "on": "Done on",
    "by": "By",
    "note": "Note",
    "name": "Name",
    "place": "Place",
    "latitude": "Latitude",
    "longitude": "Longitude",
    "hung": "Hung on",
    "splices": "Splices",
    "file": "Workbook",
}
VISIT = ("on", "by", "note")
_NUMBERS = ("latitude", "longitude")


@dataclass(frozen=True, slots=True)
class Typed:
    """The texts of a form's fields."""

    texts: Mapping[str, str]

    def text(self, name: str) -> str:
        """What stands in a field, without the space around it."""
        return self.texts.get(name, "").strip()

    def document(self, names: Iterable[str]) -> dict[str, Any]:
        """The members of these names; what was left blank is left out."""
        told = {name: self.text(name) for name in names if self.text(name)}
        return {name: number_in(text) if name in _NUMBERS else text for name, text in told.items()}

    @property
    def key(self) -> str:
        """The key by which a form that is sent twice is taken once: the one that was sent, else a new one."""
        return self.text("key") or uuid4().hex


def typed() -> Typed:
    """The form that was sent."""
    return Typed(request.form)


def beside(errors: Iterable[Mapping[str, Any]]) -> dict[str, list[str]]:
    """The faults by their fields; those of no field under the empty name."""
    found: dict[str, list[str]] = {}
    for error in errors:
        first = error.get("pointer", "").partition("/")[2].partition("/")[0]
        texts = found.setdefault(first if first in LABELS else "", [])
        detail = str(error["detail"])
        sentence = detail[:1].upper() + detail[1:] + ("" if detail.endswith((".", "?", "!")) else ".")
        if sentence not in texts:
            texts.append(sentence)
    return found


def revision_seen() -> Revision:
    """The revision at which the closure was when the form was shown; raises the 400 problem where it does not say."""
    text = request.values.get("revision", "")
    if not (text.isascii() and text.isdigit() and len(text) < 10):
        raise bad_parameters([("revision", "value", "The form does not say what it was filled in for; load it anew.")])
    return Revision(int(text))
