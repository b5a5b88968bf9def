"""What a history is made of."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Outcome = Literal["read", "unmodified", "written", "refused", "unknown"]
"""Read; 304; a write that was acknowledged; one that was refused (412); one whose answer never came."""


@dataclass(frozen=True, slots=True)
class Operation:
    """What one client asked of one thing and was answered, from ``began`` to ``ended`` (seconds of one clock).

    ``version`` is the one that was answered (of a 304: that the caller had), ``expected`` the one that a write said it
    would replace, ``value`` what was read or sent.
    """

    client: str
    thing: str
    outcome: Outcome
    began: float
    ended: float
    version: int | None = None
    expected: int | None = None
    value: str | None = None

    def told(self) -> str:
        """The operation in words."""
        expected = "" if self.expected is None else f" over {self.expected}"
        version = "" if self.version is None else f" version {self.version}"
        return f"{self.client}: {self.outcome}{version}{expected} ({self.value}) at {self.began:.6f}-{self.ended:.6f}"
