"""Placeholders: what stands for the free names of a splice point while equal splice points are planned as one.

A placeholder is a number between half brackets, ``⸢3⸣``. Texts that are not renamed (titles and notes of the catalogue,
fibre categories of a request) could have such a thing in them: so the opening bracket is repeated until it is longer
than any run of it in them. It is printable, so that ``repr`` leaves it as it is, and needs no escape in JSON.
"""

from __future__ import annotations

import re
from collections.abc import Iterable

import orjson

from service.documents.catalogue import entry_to
from service.domain.catalogue import KINDS, Catalogue

OPEN, CLOSE = "⸢", "⸣"
_RUNS = re.compile(f"{OPEN}+")


def longest_run(texts: Iterable[str]) -> int:
    """The length of the longest run of opening half brackets in the texts; 0 where there is none."""
    return max((len(run) for text in texts if OPEN in text for run in _RUNS.findall(text)), default=0)


def run_in(catalogue: Catalogue) -> int:
    """The same over all texts of a catalogue, worked out once a snapshot."""
    found: int | None = catalogue.memo.get(("placeholders",))
    if found is None:
        sections = ((kind, getattr(catalogue, kind).values()) for kind in KINDS)
        texts = (orjson.dumps(entry_to(kind, entry)).decode() for kind, entries in sections for entry in entries)
        found = catalogue.memo["placeholders",] = longest_run(texts)
    return found


def placeholder(number: int, run: int) -> str:
    """The placeholder of a number (from 1), for texts whose longest run of opening half brackets is ``run``."""
    return f"{OPEN * (run + 1)}{number}{CLOSE}"


def pattern(placeholders: Iterable[str]) -> re.Pattern[str] | None:
    """What finds these placeholders in a text, with the apostrophes of ``repr`` around them or without.

    All placeholders of one splice point have the same number of brackets. None where there are none.
    """
    first = next(iter(placeholders), None)
    if first is None:
        return None
    one = f"{first.rstrip('0123456789' + CLOSE)}[0-9]+{CLOSE}"
    return re.compile(f"'{one}'|{one}")
