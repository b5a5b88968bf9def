"""What one client was told is stored, written down the moment that the answer had been read whole."""

from __future__ import annotations

from collections import Counter, defaultdict
from dataclasses import dataclass, field
from typing import NamedTuple


class Thing(NamedTuple):
    """What is changed, as the record of changes names it: its kind, and its code or id."""

    kind: str
    item: str


@dataclass
class Acknowledged:
    """Ids by kind and key; what was done to each thing, in order; and what each is to hold by now.

    ``writes`` counts acknowledgements by kind. ``visits`` are kind and plan, ``records`` who made each, ``titles``
    those of catalogue entries that stand, ``places`` the names of hung closures, ``counts`` the stock that was counted.
    """

    plans: dict[str, str] = field(default_factory=dict)
    orders: dict[str, str] = field(default_factory=dict)
    installations: dict[str, str] = field(default_factory=dict)
    takeoffs: dict[str, str] = field(default_factory=dict)
    answered_again: dict[str, str] = field(default_factory=dict)
    removed: set[str] = field(default_factory=set)
    states: dict[str, str] = field(default_factory=dict)
    visits: dict[str, list[tuple[str, str | None]]] = field(default_factory=lambda: defaultdict(list))
    records: dict[str, list[str]] = field(default_factory=lambda: defaultdict(list))
    titles: dict[str, str] = field(default_factory=dict)
    places: dict[str, str] = field(default_factory=dict)
    counts: dict[str, int] = field(default_factory=dict)
    tokens: dict[str, str] = field(default_factory=dict)
    revoked: set[str] = field(default_factory=set)
    history: dict[Thing, list[str]] = field(default_factory=lambda: defaultdict(list))
    writes: Counter[str] = field(default_factory=Counter)
    again: int = 0
    statuses: Counter[int] = field(default_factory=Counter)
    wrong: list[str] = field(default_factory=list)

    def done(self, what: str, kind: str, item: str, *operations: str) -> None:
        """Write down that a write of the sort ``what`` was acknowledged, and what goes on record for it."""
        self.writes[what] += 1
        if operations:
            self.history[Thing(kind, item)] += operations
