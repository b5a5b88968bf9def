"""The packing problem in integers, and its answer.

Slot kinds, tray kinds, labels and items are numbered from 0. Heights, storage and prices are integers
in whatever unit the caller scaled them to; only sums and comparisons of like with like are made.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal


@dataclass(frozen=True, slots=True)
class TrayKind:
    """A tray model that the closure takes.

    ``banks[b][s]`` is the number of slots that bank ``b`` gives when it is set to slot kind ``s`` (0: it cannot
    be). ``most`` counts all trays of the kind in the closure, hanging ones included. ``storage`` and ``ribbons``
    are what the tray's channel and entry take; None is no limit.
    """

    pitch: int
    most: int
    banks: tuple[tuple[int, ...], ...]
    price: int | None = None
    storage: int | None = None
    ribbons: int | None = None


@dataclass(frozen=True, slots=True)
class Item:
    """A bundle of ``size`` equal splices.

    ``storage[k]`` is what one splice takes of the channel of tray kind ``k``; None: it may not lie in that kind.
    ``ribbons`` is how many ribbon ends one splice brings into the tray. ``slots`` is 1, or 0 for parked ends
    that need no slot. A ``loose`` item (parked ends) may be divided under any split rule; its pieces are not counted.
    """

    slot_kind: int
    size: int
    storage: tuple[int | None, ...]
    label: int | None = None
    ribbons: int = 0
    slots: int = 1
    loose: bool = False


@dataclass(frozen=True, slots=True)
class HangingTray:
    """A tray that is there already. ``banks[b]`` is (slot kind, slots used), or (None, 0) where the bank is free."""

    kind: int
    banks: tuple[tuple[int | None, int], ...]
    label: int | None = None
    storage_used: int = 0
    ribbons_used: int = 0


@dataclass(frozen=True, slots=True)
class Problem:
    """One closure to fill. ``reserve[s]`` free slots of kind ``s`` are kept, in these trays or in the stack."""

    slot_kinds: int
    kinds: tuple[TrayKind, ...]
    stack: int
    items: tuple[Item, ...]
    split: Literal["never", "oversize", "free"] = "oversize"
    minimise: Literal["trays", "price"] = "trays"
    reserve: tuple[int, ...] = ()
    reserve_in: Literal["trays", "stack"] = "trays"
    spare_trays: int = 0
    hanging: tuple[HangingTray, ...] = ()


@dataclass(frozen=True, slots=True)
class Piece:
    """``count`` splices of item ``item`` lying in one tray."""

    item: int
    count: int


@dataclass(frozen=True, slots=True)
class PackedTray:
    """A tray of the answer. ``hanging`` is its index among the hanging trays, None for a new one.

    ``banks[b]`` is the slot kind that bank ``b`` is set to, None where it stays unset.
    """

    kind: int
    hanging: int | None
    banks: tuple[int | None, ...]
    pieces: tuple[Piece, ...]


@dataclass(frozen=True, slots=True)
class Bounds:
    """What the answer reaches and what was proven to be the least possible, objective by objective.

    ``cost`` is new trays (or their price), ``height`` the new trays' pitches, ``opened`` the hanging trays touched,
    ``pieces`` the pieces of counted items. The answer is optimal when every bound equals its value. Where a value is
    not proven, the bounds after it hold for every packing that does no worse in the values up to it.
    """

    cost: int
    cost_bound: int
    height: int
    height_bound: int
    opened: int
    opened_bound: int
    pieces: int
    pieces_bound: int

    @property
    def optimal(self) -> bool:
        """Whether all four values are proven least, in their order."""
        return (
            self.cost == self.cost_bound
            and self.height == self.height_bound
            and self.opened == self.opened_bound
            and self.pieces == self.pieces_bound
        )


@dataclass(frozen=True, slots=True)
class Evidence:
    """Which bound shows that a value (or, for ``fit``, the trays that the stack takes) cannot do better.

    ``bound`` names it. Where it is a measure, ``needed`` is what all items (and a reserve in the trays) take of it
    beyond what hanging trays give, ``most`` what trays that do better give at most; both are None for other bounds.
    ``nodes`` is what an exhaustive search took. ``solver``: the last-resort solver had a part in it.
    """

    value: Literal["fit", "cost", "height", "opened", "pieces"]
    bound: str
    needed: int | None = None
    most: int | None = None
    nodes: int = 0
    solver: bool = False


@dataclass(frozen=True, slots=True)
class Packing:
    """The answer. ``fits`` is None where the node limit ended the search undecided.

    ``later`` names the kinds of trays that can still be added (for ``spare_trays``, and for a reserve in the stack).
    ``method`` says in words how the bounds were shown, ``nodes`` how much search it took; ``evidence`` names for each
    value the bound that closed it.
    """

    fits: bool | None
    trays: tuple[PackedTray, ...] = ()
    later: tuple[int, ...] = ()
    bounds: Bounds | None = None
    method: str = ""
    nodes: int = 0
    evidence: tuple[Evidence, ...] = ()
