"""Limits of lists, numbers and ranges that the operator sets narrower than the published description has them.

The description's own are for every server. These are for one that is to do less at once; wider ones than described have
no effect, since the description is asked first.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from service.documents.ranges import parse_ranges
from service.domain.faults import Fault
from service.settings import Settings

RANGES = ("ribbons", "fibres", "taken", "cut", "spliced", "spliced_out")
"""The members of what is sent whose text is ranges of numbers."""


@dataclass(frozen=True, slots=True)
class Narrower:
    """The items of a list, the size of a number, and the numbers that a range text stands for, at most (None: any)."""

    items: int | None
    number: int | None
    span: int | None

    def faults(self, document: Any) -> list[Fault]:
        """Everything in a document, which the description allows, that is beyond these limits."""
        return list(self._in(document, "", ""))

    def _in(self, value: Any, pointer: str, name: str) -> Iterator[Fault]:
        if isinstance(value, dict):
            for member, each in value.items():
                yield from self._in(each, f"{pointer}/{_escaped(member)}", member)
        elif isinstance(value, list):
            if self.items is not None and len(value) > self.items:
                yield Fault(pointer, "items", f"This server takes {self.items} items of an array at most.")
                return
            for index, each in enumerate(value):
                yield from self._in(each, f"{pointer}/{index}", name)
        elif isinstance(value, str):
            if self.span is not None and name in RANGES and _span(value) > self.span:
                yield Fault(pointer, "range", f"This server takes {self.span} numbers in a range at most.")
        elif self.number is not None and type(value) in (int, float) and abs(value) > self.number:
            yield Fault(pointer, "range", f"This server takes numbers up to {self.number}.")


def narrower(settings: Settings) -> Narrower | None:
    """The limits that the settings ask for; None where they ask for none, so that nothing is looked at."""
    asked = settings.list_limit, settings.number_limit, settings.range_limit
    return None if asked == (None, None, None) else Narrower(*asked)


def _span(text: str) -> int:
    return sum(high - low + 1 for low, high in parse_ranges(text))


def _escaped(member: str) -> str:
    return member.replace("~", "~0").replace("/", "~1")
