"""Problem documents (RFC 9457): every error that a caller sees."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from service.api.problem_kinds import KINDS
from service.domain.faults import Fault

FAULTS_SHOWN = 1000
"""How many faults one answer names; a body can have more of them than anyone would read."""


class Problem(Exception):
    """An error to be answered as a problem document; ``errors`` are documents of single faults."""

    def __init__(
        self,
        slug: str,
        detail: str,
        errors: Iterable[Mapping[str, Any]] = (),
        headers: Mapping[str, str] | None = None,
        status: int | None = None,
    ) -> None:
        self.kind = KINDS[slug]
        self.detail = detail
        self.errors = [dict(error) for error in errors]
        self.headers = dict(headers or {})
        self.status = status or self.kind.status
        super().__init__(detail)

    def document(self, instance: str) -> dict[str, Any]:
        """The problem document; ``instance`` is the reference of this one occurrence."""
        document: dict[str, Any] = {
            "type": f"/problems/{self.kind.slug}",
            "title": self.kind.title,
            "status": self.status,
            "detail": self.detail,
            "instance": instance,
        }
        if self.errors:
            document["errors"] = self.errors[:FAULTS_SHOWN]
        return document


def refused(faults: Iterable[Fault]) -> Problem:
    """The problem of a body with these faults, sorted by their places and without repetition."""
    found = sorted(set(faults))
    count = "1 fault was" if len(found) == 1 else f"{len(found)} faults were"
    shown = "" if len(found) <= FAULTS_SHOWN else f" The first {FAULTS_SHOWN} are named."
    errors = ({"pointer": fault.pointer, "code": fault.code, "detail": fault.detail} for fault in found)
    return Problem("refused", f"{count} found in the body.{shown}", errors)


def bad_parameters(faults: list[tuple[str, str, str]]) -> Problem:
    """The problem of parameters that are not understood, each (name, code, detail)."""
    count = "1 parameter is" if len(faults) == 1 else f"{len(faults)} parameters are"
    errors = ({"parameter": name[:200], "code": code, "detail": detail} for name, code, detail in faults)
    return Problem("bad-parameter", f"{count} not understood.", errors)
