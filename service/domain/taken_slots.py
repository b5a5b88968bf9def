"""How much of a hung closure is taken."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class TakenSlots:
    """Slots of a hung closure: all that it has or can be given, and those that splices and parked ends lie in."""

    slots: int
    taken: int

    @property
    def share(self) -> float:
        """The share that is taken, from 0 to 1; a closure that can have no slot is full."""
        return self.taken / self.slots if self.slots else 1.0
