"""A plan request: what is to be joined in one closure, and by which rules."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

Ranges = tuple[tuple[int, int], ...]
"""Closed ranges in the order written, ``"1-4,9"`` is ``((1, 4), (9, 9))``."""

CableEnd = Literal["in", "out"]


@dataclass(frozen=True, slots=True)
class HangingCable:
    """How a cable hangs in its closure already.

    ``ports`` are its port places (``name-n``): one, or two of an express cable whose ends go through two. ``cut`` are
    the fibres that are cut here; of a cable that ends here, whatever is named, all fibres of a tube that has a cut one.
    ``spliced`` are those of its incoming end that lie in splices, ``spliced_out`` those of an express cable's outgoing
    end; what is cut and not spliced is parked in trays. ``window_mm`` is how much of an express cable's sheath is off.
    """

    ports: tuple[str, ...]
    cut: Ranges = ()
    spliced: Ranges = ()
    spliced_out: Ranges = ()
    window_mm: float | None = None


@dataclass(frozen=True, slots=True)
class CableAtPoint:
    """A cable at the splice point; ``express``: it enters and leaves, and only what joints name is cut.

    ``hanging``: it is in the closure already, and as told there; only where trays hang already.
    """

    tag: str
    cable: str
    slack_m: float | None = None
    express: bool = False
    hanging: HangingCable | None = None


@dataclass(frozen=True, slots=True)
class Side:
    """One side of a joint: ribbons or fibres of a cable; ``end`` tells the two ends of an express cable apart."""

    cable: str
    ribbons: Ranges | None = None
    fibres: Ranges | None = None
    end: CableEnd = "in"


@dataclass(frozen=True, slots=True)
class Joint:
    """These ribbons (or fibres) to those, in order; ``split_ribbons``: 24-fibre ribbons go as two twelves."""

    from_: Side
    to: Side
    keep_apart: str | None = None
    split_ribbons: bool = False


@dataclass(frozen=True, slots=True)
class Reserve:
    """Room for growth: ``percent`` of each slot kind, as free slots in ``trays`` or room in the ``stack``."""

    percent: float = 0.0
    in_: Literal["trays", "stack"] = "trays"


@dataclass(frozen=True, slots=True)
class Rules:
    """The rules of a plan, every one with its default.

    ``rework``: probability that a joint must be made again (None: the method's prior; ``"recorded"``: that prior and
    what the splice records have taught);
    ``rework_sleeve``: the same, counting only remakes that cost the sleeve (None: as ``rework``);
    ``rework_fibre``: probability that one fibre is bad, a mass splice then being remade with
    ``1 - (1 - p)^n``; stands in for ``rework``. ``storage_fill``: share of a storage channel that
    can be filled; ``overlap_mm``: coating covered by the sleeve at each end;
    ``storage_radius_mm``: the smallest storage radius by fibre category, over the policy's own.
    """

    minimise: Literal["trays", "price"] = "trays"
    keep: Literal["tube", "joint", "none"] = "tube"
    split: Literal["never", "oversize", "free"] = "oversize"
    reserve: Reserve = Reserve()
    reach_mm: float = 900.0
    remakes: int = 2
    confidence: float = 0.95
    rework: float | Literal["recorded"] | None = None
    rework_sleeve: float | None = None
    rework_fibre: float | None = None
    overlap_mm: float = 6.0
    storage_fill: float = 0.5
    storage_radius_mm: Mapping[str, float] = field(default_factory=dict)
    bend_allowance_db: float | None = None
    stored_ends: Literal["storage", "slots"] = "storage"
    rated_for_all: bool = False
    spare_entries: int = 0
    spare_trays: int = 0


@dataclass(frozen=True, slots=True)
class Crew:
    """Who and what works at the splice point, and the window it must be done in (hours).

    ``spread``: relative spread (standard deviation over mean) of each time by hand; common practice, no source.
    ``seed``: of the runs that give the 90 % figure.
    """

    technicians: int = 1
    splicers: int = 1
    heaters: int = 1
    window_h: float | None = None
    setup_min: float = 30.0
    cable_prep_min: float = 30.0
    closing_min: float = 45.0
    spread: float = 0.2
    seed: int = 1


@dataclass(frozen=True, slots=True)
class Site:
    """The place that the closure and the cable coils must fit, inner sizes in mm."""

    kind: Literal["handhole", "vault", "pole", "pedestal"]
    length_mm: float
    width_mm: float
    depth_mm: float


@dataclass(frozen=True, slots=True)
class ExistingBank:
    """A bank of a hanging tray that is in use: its slot kind and how many slots are taken.

    ``taken`` says which; empty, the first ``used`` ones.
    """

    bank: int
    slot_kind: str
    used: int
    taken: Ranges = ()

    @property
    def slots_taken(self) -> tuple[int, ...]:
        """The numbers of the slots that are taken, in order."""
        if not self.taken:
            return tuple(range(1, self.used + 1))
        return tuple(sorted({slot for first, last in self.taken for slot in range(first, last + 1)}))


@dataclass(frozen=True, slots=True)
class ExistingTray:
    """A tray that hangs already; what lies in it stays. Trays stand in the order of their positions."""

    tray: str
    banks: tuple[ExistingBank, ...] = ()
    keep_apart: str | None = None
    storage_used_mm2: float = 0.0
    ribbons: int = 0


@dataclass(frozen=True, slots=True)
class PlanRequest:
    """One splice point to plan. ``closures`` empty: any closure of the catalogue.

    ``headroom``: tell also how much more of the same would fit, which takes several times as long.
    """

    cables: tuple[CableAtPoint, ...]
    joints: tuple[Joint, ...]
    name: str = ""
    closures: tuple[str, ...] = ()
    rules: Rules = Rules()
    crew: Crew | None = None
    site: Site | None = None
    existing_trays: tuple[ExistingTray, ...] = ()
    headroom: bool = False
