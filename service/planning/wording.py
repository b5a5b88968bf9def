"""How a packing was proven, in the words of the catalogue instead of the core's numbers."""

from __future__ import annotations

import re
from collections.abc import Sequence

_SLOTS = re.compile(r"\bkind (\d+)\b")
_TRAYS = re.compile(r"\bthe kinds (\d+(?:, \d+)*)")


def proof_in_words(method: str, slot_kinds: Sequence[str], trays: Sequence[str]) -> str:
    """The core's sentence with slot kinds and trays by their codes.

    >>> proof_in_words("cost: slots of kind 0 (needed 29, at most 24 with less)", ["ribbon-12"], [])
    'cost: slots of kind ribbon-12 (needed 29, at most 24 with less)'
    """
    named = _SLOTS.sub(lambda found: f"kind {slot_kinds[int(found[1])]}", method)
    return _TRAYS.sub(lambda found: "the kinds " + ", ".join(trays[int(n)] for n in found[1].split(", ")), named)
