"""Ribbon and fibre numbers as text: ``"1-12"``, ``"3"``, ``"1-4,9-12"``.

Ranges stay ranges: nothing here grows with the numbers that they span.
"""

from __future__ import annotations

import re
from functools import lru_cache

from service.domain.request import Ranges

RANGE_TEXT = re.compile(r"[1-9][0-9]{0,8}(?:-[1-9][0-9]{0,8})?(?:,[1-9][0-9]{0,8}(?:-[1-9][0-9]{0,8})?)*\Z")
"""What a range text looks like; numbers have nine digits at most."""


class RangeError(ValueError):
    """A range text that cannot be read; its message is a sentence for the caller."""


@lru_cache(maxsize=4096)
def parse_ranges(text: str) -> Ranges:
    """Read a range text into closed ranges, in the order written.

    Raises ``RangeError`` where the text is no range text. One that runs backwards is read as it stands: what it means
    is refused by the planner, together with everything else that is wrong with the joints.

    >>> parse_ranges("1-4,9")
    ((1, 4), (9, 9))
    """
    if RANGE_TEXT.match(text) is None:
        raise RangeError("This is no range of numbers; write for instance 1-4,9-12.")
    ranges = []
    for part in text.split(","):
        first, _, last = part.partition("-")
        low, high = int(first), int(last or first)
        ranges.append((low, high))
    return tuple(ranges)


def format_ranges(ranges: Ranges) -> str:
    """Write ranges as text, the inverse of ``parse_ranges``.

    >>> format_ranges(((1, 4), (9, 9)))
    '1-4,9'
    """
    return ",".join(str(low) if low == high else f"{low}-{high}" for low, high in ranges)
