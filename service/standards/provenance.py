"""Where a figure comes from and how well it is known."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Status = Literal["published", "secondary", "memory", "practice", "derived"]
"""``published``: read in the standard's or regulator's own text. ``secondary``: read where another text restates it.

``memory``: from memory, no text was at hand. ``practice``: common practice, no source. ``derived``: computed from
other figures.
"""


@dataclass(frozen=True, slots=True)
class Source:
    """The text that a figure was taken from, and its status."""

    text: str
    status: Status
