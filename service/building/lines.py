"""Lines out of a stream of bytes, a block at a time: never more than a block and one line in memory."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import NamedTuple

from service.domain.faults import Fault, Refused
from service.domain.takeoff import POINTS_MOST

LINES_MOST = 10 * POINTS_MOST
"""Blank lines cost little to send, packed next to nothing, and each is work."""


class Line(NamedTuple):
    """A line without its end, numbered from 1; ``text`` is None where it is longer than is allowed."""

    number: int
    text: bytes | None


def lines_of(blocks: Iterable[bytes], longest: int) -> Iterator[Line]:
    """The lines of a stream that are not blank; blank ones count. A line feed ends a line, the last one may lack it.

    ``longest`` is in bytes. What is longer is passed over up to its end and comes as a line without text. Raises
    ``Refused`` where there are more than ``LINES_MOST``.
    """
    number, held, size, over = 1, [], 0, False
    for block in blocks:
        start = 0
        while (end := block.find(b"\n", start)) >= 0:
            if over or size + end - start > longest:
                yield Line(number, None)
            else:
                held.append(block[start:end])
                yield from _unless_blank(number, held)
            number, held, size, over, start = number + 1, [], 0, False, end + 1
            if number > LINES_MOST:
                detail = f"a takeoff has at most {LINES_MOST} lines, blank ones counted"
                raise Refused([Fault("", "too_many", detail)])
        if not over:
            held.append(block[start:])
            size += len(block) - start
            if size > longest:
                held, over = [], True
    if over:
        yield Line(number, None)
    else:
        yield from _unless_blank(number, held)


def _unless_blank(number: int, parts: list[bytes]) -> Iterator[Line]:
    text = parts[0] if len(parts) == 1 else b"".join(parts)
    if text and not text.isspace():
        yield Line(number, text)
