"""The two ways in which a takeoff is sent: as one JSON document, or as lines that are read while they come."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Iterable, Iterator, Mapping
from typing import IO, Any, NamedTuple, Protocol

from service.api.keys import digest_of
from service.api.problems import Problem
from service.api.takeoffs.point_checks import PointChecks
from service.building.lines import lines_of
from service.building.reading import Checked
from service.domain.faults import Fault

_BLOCK = 64 * 1024


class Head(NamedTuple):
    """What is said of a takeoff beside its splice points."""

    name: str
    tags: Mapping[str, str]
    closure_kinds_most: int | None
    strict: bool


class Whole:
    """A takeoff as a document that the schema allows."""

    def __init__(self, document: Mapping[str, Any], strict: bool) -> None:
        most = document.get("closure_kinds", {}).get("most")
        self.head = Head(document.get("name", ""), document.get("tags", {}), most, strict)
        self._document = document

    def lines(self) -> Iterator[tuple[int, Any]]:
        """The splice points, numbered as if each were a line."""
        return enumerate(self._document["splice_points"], start=1)

    def check(self, checks: PointChecks) -> Callable[[Any], Checked]:
        """How each of them is checked."""
        return checks.of_document

    def digest(self) -> str:
        """What tells this takeoff from another."""
        return digest_of(["takeoff", self.head.strict, self._document])

    def told(self, line: int, fault: Fault) -> dict[str, Any]:
        """A fault of a splice point, with its place in the body."""
        return {"pointer": f"/splice_points/{line - 1}{fault.pointer}", "line": line, **_said(fault)}


class Lines:
    """A takeoff as a stream of ``length`` bytes of lines, to be read once. ``longest``: the bytes of a line at most.

    A stream that ends before its length is a sender who broke off. Half a build looks like a small one, so that is
    never taken for the end: reading raises the 400 problem.
    """

    def __init__(self, stream: IO[bytes], length: int, head: Head, longest: int) -> None:
        self.head = head
        self._stream, self._left, self._longest = stream, length, longest
        self._sum = hashlib.sha256(digest_of(["takeoff", *head]).encode())

    def lines(self) -> Iterator[tuple[int, bytes | None]]:
        """The lines that are not blank."""
        return lines_of(self._blocks(), self._longest)

    def check(self, checks: PointChecks) -> Callable[[Any], Checked]:
        """How each of them is checked."""
        return checks.of_line

    def digest(self) -> str:
        """What tells this takeoff from another: of its bytes; what has not been read is read for it."""
        for _ in self._blocks():
            pass
        return self._sum.hexdigest()

    def told(self, line: int, fault: Fault) -> dict[str, Any]:
        """A fault of a line; its pointer leads into the line."""
        return {"pointer": fault.pointer, "line": line, **_said(fault)}

    def _blocks(self) -> Iterable[bytes]:
        while block := self._stream.read(_BLOCK):
            self._sum.update(block)
            self._left -= len(block)
            yield block
        if self._left > 0:
            raise Problem("bad-request", f"The body broke off {self._left} bytes before its end. Send all of it again.")


def _said(fault: Fault) -> dict[str, Any]:
    return {"code": fault.code, "detail": fault.detail}


class Source(Protocol):
    """What a takeoff comes from; splice points are numbered as if each were a line."""

    head: Head

    def lines(self) -> Iterable[tuple[int, Any]]:
        """The splice points, numbered."""

    def check(self, checks: PointChecks) -> Callable[[Any], Checked]:
        """How each of them is checked."""

    def digest(self) -> str:
        """What tells this takeoff from another."""

    def told(self, line: int, fault: Fault) -> dict[str, Any]:
        """A fault of a splice point as the problem document tells it."""
