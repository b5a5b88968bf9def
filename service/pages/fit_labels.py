"""What people call the fields of the form, where a mistake is told away from its field."""

from __future__ import annotations

import re

from service.pages.fit_rows import Filled

_ROW = re.compile(r"(.+)-([0-9]+)\Z")
_OF_CABLES = {"cable": "", "tag": ", tag", "slack": ", slack", "express": ", passes through"}
_OF_JOINTS = {
    "from": ", from cable",
    "to": ", to cable",
    "from-range": ", from numbers",
    "to-range": ", to numbers",
    "from-end": ", end of the first cable",
    "to-end": ", end of the second cable",
    "apart": ", keep apart",
    "halves": ", split ribbons",
}
_REST = {
    "closure": "Closure",
    "name": "Name",
    "reserve": "Reserve",
    "reserve-in": "Reserve kept as",
    "remakes": "Remakes",
    "reach": "Reach",
    "minimise": "What comes first",
    "split": "Dividing bundles",
    "keep": "Keep together",
    "window": "Window",
    "technicians": "Technicians",
    "splicers": "Splicers",
    "heaters": "Heaters",
    "site-kind": "Place, kind",
    "site-length": "Place, length",
    "site-width": "Place, width",
    "site-depth": "Place, depth",
}


def label_of(form: Filled, name: str) -> str:
    """The name of a field in words: ``slack-2`` is ``Cable B, slack``."""
    match = _ROW.match(name)
    if match is None:
        return _REST[name]
    kind, row = match[1], int(match[2])
    return f"Cable {form.tag(row)}{_OF_CABLES[kind]}" if kind in _OF_CABLES else f"Joint {row}{_OF_JOINTS[kind]}"
