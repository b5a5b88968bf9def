"""A plan's certificate: the facts that its packing rests on, in whole numbers, so that anybody can check it again.

Heights in ``units_per_mm``, channel shares in µm², prices in hundredths of the currency.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from service.domain.rework import Given, Learned


@dataclass(frozen=True, slots=True)
class TrayFacts:
    """A tray model that the closure takes, ``most`` of it; ``banks`` give so many slots of each kind, by kind.

    ``storage_um2`` and ``ribbons`` are what the channel and the entry take, None where the catalogue sets no limit.
    """

    tray: str
    pitch: int
    most: int
    price: int | None
    banks: tuple[Mapping[str, int], ...]
    storage_um2: int | None
    ribbons: int | None


@dataclass(frozen=True, slots=True)
class PortFacts:
    """``count`` equal entries of the closure, each for so many cables of a diameter from-to (mm)."""

    port: str
    count: int
    cables: int
    od_min_mm: float
    od_max_mm: float


@dataclass(frozen=True, slots=True)
class HangingCableFacts:
    """How a cable hung before: its port places, and its fibres that were cut and spliced at either end, as ranges."""

    ports: tuple[str, ...]
    cut: tuple[tuple[int, int], ...]
    spliced: tuple[tuple[int, int], ...]
    spliced_out: tuple[tuple[int, int], ...]


@dataclass(frozen=True, slots=True)
class CableFacts:
    """A cable at the splice point, by tag, and how its fibres are grouped; an express cable enters and leaves."""

    cable: str
    od_mm: float
    express: bool
    fibres: int
    ribbon_fibres: int
    ribbons_per_tube: int
    hanging: HangingCableFacts | None = None


@dataclass(frozen=True, slots=True)
class SleeveFacts:
    """A sleeve in use, and its splices by the rate at which a joint costs another sleeve, given or learned."""

    sleeve: str
    slot_kind: str
    pack_of: int
    rework: tuple[tuple[int, Given | Learned], ...]


@dataclass(frozen=True, slots=True)
class BundleFacts:
    """A bundle, numbered as in the plan's splices.

    ``storage_um2`` is what one splice takes of the channel, by tray model; None: it may not lie there.
    ``ribbon_ends`` is how many ribbon ends one splice brings into its tray.
    """

    bundle: int
    sleeve: str
    slot_kind: str
    fibres: int
    splices: int
    keep_apart: str | None
    ribbon_ends: int
    storage_um2: Mapping[str, int | None]


@dataclass(frozen=True, slots=True)
class ParkedFacts:
    """Alike ends of an opened tube that are parked; ``slot_kind`` where each takes a slot, else None."""

    cable: str
    tube: int
    of: Literal["ribbons", "fibres"]
    count: int
    slot_kind: str | None
    ribbon_ends: int
    storage_um2: Mapping[str, int | None]


@dataclass(frozen=True, slots=True)
class HangingFacts:
    """A tray as it was found: its banks in use as (bank, slot kind, slots used), label, channel used, ribbons in it.

    ``taken`` are the slots in use, by bank, where they are other than the first ones.
    """

    position: int
    tray: str
    banks: tuple[tuple[int, str, int], ...]
    keep_apart: str | None
    storage_um2: int
    ribbons: int
    taken: Mapping[int, tuple[int, ...]] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Certificate:
    """The packing problem that was solved, in the words of the plan.

    ``later`` names trays that can still be added, for spare trays and for a reserve kept in the stack.
    """

    units_per_mm: int
    stack: int
    trays: tuple[TrayFacts, ...]
    ports: tuple[PortFacts, ...]
    cables: tuple[CableFacts, ...]
    sleeves: tuple[SleeveFacts, ...]
    bundles: tuple[BundleFacts, ...]
    parked: tuple[ParkedFacts, ...]
    hanging: tuple[HangingFacts, ...]
    split: Literal["never", "oversize", "free"]
    minimise: Literal["trays", "price"]
    reserve: Mapping[str, int]
    reserve_in: Literal["trays", "stack"]
    spare_trays: int
    later: tuple[str, ...]
