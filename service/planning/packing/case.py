"""The packing problem made ready: splices that are alike, trays that are alike, and what must be covered."""

from __future__ import annotations

from dataclasses import dataclass

from service.planning.packing.settings import Setting, Vector

UNLIMITED = 1 << 60
"""Stands for "no limit": larger than any count that a closure can hold."""

WHOLE, CUT, LOOSE = 0, 1, 2
"""How an item may be divided: not at all, into counted pieces, or freely."""


@dataclass(frozen=True, slots=True)
class Likeness:
    """Splices that are alike wherever they lie.

    ``column`` is the slot kind's column; ``slots`` and ``ribbons`` are taken by one splice; ``storage[b]`` is its
    storage in berth ``b`` (None: it may not lie there, 0: no limit is in reach). ``most[b]`` is how many of them an
    empty tray of berth ``b`` takes, ``most_anywhere`` the largest of these.
    """

    column: int
    slots: int
    storage: tuple[int | None, ...]
    ribbons: int
    label: int | None
    most: tuple[int, ...]
    most_anywhere: int


@dataclass(frozen=True, slots=True)
class Berth:
    """Trays that are alike: a tray kind to be bought, or hanging trays in the same state.

    ``settings`` are the free-slot vectors to choose from and ``banks`` the bank settings that give them; ``settled``
    are the slots that the tray gives whatever its banks are set to, ``free_banks`` what each bank with a choice gives
    of each column. ``storage`` and ``ribbons`` are what is left (None: no limit in reach). ``hanging`` holds the
    numbers of the hanging trays, empty for a kind to be bought; ``most`` how many trays there can be; ``weight`` what
    one adds to the combined objective, cost before height.
    """

    kind: int
    settings: tuple[Vector, ...]
    banks: tuple[Setting, ...]
    storage: int | None
    ribbons: int | None
    label: int | None
    hanging: tuple[int, ...]
    most: int
    pitch: int
    weight: int
    settled: Vector
    free_banks: tuple[Vector, ...]


@dataclass(frozen=True, slots=True)
class Lot:
    """Equal things to place: ``count`` bundles of ``size`` splices of likeness ``alike``, divisible as ``cut`` says."""

    alike: int
    size: int
    count: int
    cut: int = WHOLE


@dataclass(frozen=True, slots=True)
class Case:
    """A problem made ready.

    ``slot_kinds[c]`` is the slot kind of column ``c``. ``berths`` lists hanging berths first, then one for each kind
    that can still be bought. ``alike_of[i]`` and
    ``cut_of[i]`` belong to item ``i``. ``used`` are slots that the items take by column, ``needed`` the same with
    the reserve. ``height_unit`` is what one unit of cost weighs against height. ``room`` is the stack that is left.
    ``impossible`` says why no packing can exist, empty where it may.
    """

    columns: int
    slot_kinds: tuple[int, ...]
    berths: tuple[Berth, ...]
    bought_from: int
    likenesses: tuple[Likeness, ...]
    alike_of: tuple[int, ...]
    cut_of: tuple[int, ...]
    sizes: tuple[int, ...]
    used: Vector
    needed: Vector
    in_stack: bool
    spare: int
    room: int
    height_unit: int
    impossible: str

    @property
    def hung(self) -> int:
        """How many trays hang already."""
        return sum(len(berth.hanging) for berth in self.berths[: self.bought_from])

    @property
    def has_hanging(self) -> bool:
        """Whether trays hang already."""
        return self.bought_from > 0
