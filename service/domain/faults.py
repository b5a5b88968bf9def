"""What is wrong with an input, told so that the caller can mend it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass


@dataclass(frozen=True, slots=True, order=True)
class Fault:
    """One fault of an input document.

    ``pointer`` is a JSON pointer (RFC 6901) into the document, ``code`` a short
    machine-readable word, ``detail`` a sentence for a person.
    """

    pointer: str
    code: str
    detail: str


class Refused(Exception):
    """An input that the schema lets pass and the rules of the trade do not; carries every fault found."""

    def __init__(self, faults: Iterable[Fault]) -> None:
        self.faults = tuple(faults)
        super().__init__("; ".join(f"{fault.pointer}: {fault.detail}" for fault in self.faults))
