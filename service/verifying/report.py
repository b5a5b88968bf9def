"""What a check of a plan comes to."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

Bound = Literal["re-proved", "not re-proved", "not claimed"]


@dataclass(frozen=True, slots=True)
class Breach:
    """A rule that the plan breaks, and where: a JSON pointer into the plan."""

    pointer: str
    text: str


@dataclass(frozen=True, slots=True)
class Report:
    """The outcome.

    ``checked`` says in plain words what was looked at. ``bound`` is about the plan's claim to be optimal: shown again
    here, not shown again here, or not claimed; ``rests_on`` says, value by value, what its least is known from.
    ``notes`` say what could not be judged.
    """

    breaches: tuple[Breach, ...]
    checked: tuple[str, ...]
    bound: Bound
    rests_on: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()

    @property
    def holds(self) -> bool:
        """Whether no rule is broken."""
        return not self.breaches


@dataclass(slots=True)
class Findings:
    """Breaches, checks and notes as they are gathered."""

    breaches: list[Breach] = field(default_factory=list)
    checked: list[str] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)

    def breach(self, pointer: str, text: str) -> None:
        """Note a breach."""
        self.breaches.append(Breach(pointer, text))

    def expect(self, holds: bool, pointer: str, text: str) -> None:
        """Note a breach where something does not hold."""
        if not holds:
            self.breach(pointer, text)
