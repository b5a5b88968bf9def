"""Catalogue entries: what can be bought and how it is prepared.

Lengths in mm, areas in mm², fibre pitch in µm, times in s, money in ``Decimal``.
An optional figure that the catalogue does not give is ``None``.
"""

from __future__ import annotations

from collections.abc import Hashable, Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from types import MappingProxyType
from typing import Any, Literal

RibbonForm = Literal["flat", "rollable", "loose"]
MethodForm = Literal["flat", "rollable", "loose", "single"]
Counted = Literal[
    "closure",
    "port",
    "blank_port",
    "cable",
    "armoured_cable",
    "tray",
    "splice",
    "ribbon_end",
    "ribbonised_end",
    "express_tube",
    "transport_tube",
]

CURRENCY = "EUR"
"""The currency of a price that names none."""

KINDS = ("sleeves", "trays", "closures", "cables", "methods", "materials")
"""The catalogue's sections, in the order of the catalogue document."""


@dataclass(frozen=True, slots=True)
class Sleeve:
    """A splice protector. ``slot_kind`` is the kind of tray slot it lies in; ``price`` is of one pack."""

    code: str
    title: str
    form: Literal["ribbon", "single"]
    fibres: int
    length_mm: float
    slot_kind: str
    pack_of: int
    width_mm: float | None = None
    height_mm: float | None = None
    price: Decimal | None = None
    currency: str = CURRENCY


@dataclass(frozen=True, slots=True)
class Bank:
    """``count`` equal holders of a tray; each is set to one slot kind and then gives ``slots[kind]`` slots."""

    count: int
    slots: Mapping[str, int]


@dataclass(frozen=True, slots=True)
class Tray:
    """A splice tray. ``banks`` are numbered through the tray; ``entry_mm`` is from tray entry to slot."""

    code: str
    title: str
    pitch_mm: float
    banks: tuple[Bank, ...]
    turn_mm: float
    bend_radius_mm: float
    sleeve_length_max_mm: float | None = None
    storage_mm2: float | None = None
    entry_mm: float | None = None
    entry_ribbons_max: int | None = None
    flat_turns_max: int | None = None
    price: Decimal | None = None
    currency: str = CURRENCY

    def single_banks(self) -> tuple[Mapping[str, int], ...]:
        """The slots of every bank, one element a bank, in the order of their numbers."""
        return tuple(bank.slots for bank in self.banks for _ in range(bank.count))


@dataclass(frozen=True, slots=True)
class TrayAllowance:
    """A tray model that a closure takes, and how many of it at most."""

    tray: str
    most: int


@dataclass(frozen=True, slots=True)
class Port:
    """``count`` equal cable entries; each takes up to ``cables`` cables of a diameter from-to."""

    name: str
    count: int
    od_min_mm: float
    od_max_mm: float
    cables: int


@dataclass(frozen=True, slots=True)
class Included:
    """What comes in a closure's box: an item's code (material, tray or sleeve) and how many."""

    material: str
    quantity: Decimal


@dataclass(frozen=True, slots=True)
class Closure:
    """A splice closure. ``lead_mm``: ribbon path from the sheath end to a tray's entry."""

    code: str
    title: str
    form: Literal["dome", "inline"]
    stack_mm: float
    trays: tuple[TrayAllowance, ...]
    ports: tuple[Port, ...]
    lead_mm: float
    opening_step_mm: float | None = None
    express_mm2: float | None = None
    express_turn_mm: float | None = None
    length_mm: float | None = None
    diameter_mm: float | None = None
    mass_kg: float | None = None
    rated_ribbon_fibres: int | None = None
    rated_single_fibres: int | None = None
    includes: tuple[Included, ...] = ()
    price: Decimal | None = None
    currency: str = CURRENCY

    @property
    def outer_mm3(self) -> float | None:
        """Outer volume as a cylinder, or None where a size is missing."""
        if self.length_mm is None or self.diameter_mm is None:
            return None
        return 0.7853981633974483 * self.diameter_mm**2 * self.length_mm


@dataclass(frozen=True, slots=True)
class Cable:
    """A fibre cable. Ribbons and fibres are numbered through it from 1; the last ribbon may be short."""

    code: str
    title: str
    od_mm: float
    fibres: int
    ribbon_fibres: int
    ribbons_per_tube: int
    ribbon_form: RibbonForm
    pitch_um: int
    fibre: str
    armoured: bool = False
    ribbonise: bool = True
    tube_od_mm: float | None = None
    bend_factor: float | None = None
    method: str | None = None

    @property
    def ribbons(self) -> int:
        """How many ribbons the cable has."""
        return -(-self.fibres // self.ribbon_fibres)

    @property
    def tubes(self) -> int:
        """How many tubes the cable has."""
        return -(-self.ribbons // self.ribbons_per_tube)

    def tube_of_ribbon(self, ribbon: int) -> int:
        """The tube in which a ribbon lies, both counted from 1."""
        return -(-ribbon // self.ribbons_per_tube)

    def ribbon_of_fibre(self, fibre: int) -> int:
        """The ribbon in which a fibre lies, both counted from 1."""
        return -(-fibre // self.ribbon_fibres)

    def fibres_of_ribbon(self, ribbon: int) -> int:
        """How many fibres a ribbon has (the last one may have fewer)."""
        return min(self.ribbon_fibres, self.fibres - (ribbon - 1) * self.ribbon_fibres)


@dataclass(frozen=True, slots=True)
class Method:
    """How one ribbon form is prepared: the crew's preparation card, its times and its remake rate."""

    code: str
    title: str
    ribbon_form: MethodForm
    fibres: int | None = None
    strip_dwell_s: float | None = None
    strip_repeats: int | None = None
    strip_length_mm: float | None = None
    strip_tolerance_mm: float | None = None
    cleave_length_mm: float | None = None
    cutback_mm: float | None = None
    clean_s: float | None = None
    cleave_s: float | None = None
    fuse_s: float | None = None
    heat_s: float | None = None
    lay_s: float | None = None
    rework: float | None = None
    rework_joints: int | None = None
    holder: str | None = None
    notes: str | None = None


@dataclass(frozen=True, slots=True)
class When:
    """Where a material rule applies; a member that is None does not narrow it.

    ``re_entry``: only where a closure that hangs already is opened again, or only where a new one is hung.
    """

    od_min_mm: float | None = None
    od_max_mm: float | None = None
    slot_kind: str | None = None
    ribbon_form: RibbonForm | None = None
    re_entry: bool | None = None


@dataclass(frozen=True, slots=True)
class MaterialRule:
    """So many of an item for each thing counted; ``price`` is of one pack (one piece without ``pack_of``)."""

    code: str
    title: str
    per: Counted
    quantity: Decimal
    unit: str
    when: When = When()
    pack_of: int | None = None
    price: Decimal | None = None
    currency: str = CURRENCY


def _none() -> Mapping[str, int]:
    return MappingProxyType({})


@dataclass(frozen=True, slots=True)
class Catalogue:
    """An immutable snapshot of the catalogue, by code; retired entries stand in ``retired`` only.

    ``revisions`` and ``retired`` are keyed ``"<section>/<code>"``, for instance ``"trays/r6"``. ``memo`` is for whoever
    derives something from this snapshot alone and is asked for it by one request after another; it is no part of it.
    """

    sleeves: Mapping[str, Sleeve] = field(default_factory=dict)
    trays: Mapping[str, Tray] = field(default_factory=dict)
    closures: Mapping[str, Closure] = field(default_factory=dict)
    cables: Mapping[str, Cable] = field(default_factory=dict)
    methods: Mapping[str, Method] = field(default_factory=dict)
    materials: Mapping[str, MaterialRule] = field(default_factory=dict)
    revisions: Mapping[str, int] = field(default_factory=_none)
    retired: frozenset[str] = frozenset()
    memo: dict[tuple[Hashable, ...], Any] = field(init=False, default_factory=dict, compare=False, repr=False)

    def revision(self, kind: str, code: str) -> int:
        """The revision of an entry; 1 where the snapshot was not read from a store."""
        return self.revisions.get(f"{kind}/{code}", 1)
