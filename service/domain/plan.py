"""The answer: where every splice lies, what is needed, and why it does or does not fit.

Lengths in mm, areas in mm², losses in dB, money in ``Decimal``.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Literal, NamedTuple

from service.domain.certificate import Certificate
from service.domain.proof import Proof
from service.domain.records import RecordedRate
from service.domain.refusal import LargestPart, Remedy
from service.domain.request import Rules
from service.domain.splices import Lanes, RibbonEnd

Limit = Literal[
    "ports",
    "stack",
    "tray_count",
    "slot_kind",
    "storage",
    "bend",
    "express",
    "sleeve_length",
    "keep_apart",
    "split",
    "capacity",
    "entries",
    "undecided",
]
"""What can stand in the way. ``capacity`` and ``entries`` are owner's rules: rated fibres, spare cable entries.

``undecided``: no packing was found within the search steps allowed, and none was ruled out either.
"""


@dataclass(frozen=True, slots=True)
class Reason:
    """One limit that binds: what is needed and what there is, in ``unit``, and the same in words."""

    limit: Limit
    need: float
    have: float
    unit: str
    text: str


class BankUse(NamedTuple):
    """A bank of a planned tray; ``slot_kind`` None: the bank stays unset and can take any kind it offers."""

    bank: int
    slot_kind: str | None
    slots: int
    used: int


class PlacedSplice(NamedTuple):
    """A splice in its slot; ``bundle`` counts the request's bundles from 1."""

    bank: int
    slot: int
    from_: RibbonEnd
    to: RibbonEnd
    fibres: int
    sleeve: str
    bundle: int


@dataclass(frozen=True, slots=True)
class ParkedEnds:
    """Ends of an opened tube that are parked in this tray: how many ribbons and loose fibres of which tube.

    ``storage_mm2`` is what all of them take of the channel; a record of a hung closure knows it, a plan does not tell.
    """

    cable: str
    tube: int
    ribbons: int
    fibres: int
    storage_mm2: float = 0.0


@dataclass(frozen=True, slots=True)
class PlannedTray:
    """A tray of the plan, counted from 1 in the stack; ``storage_mm2`` None where the catalogue does not say."""

    position: int
    tray: str
    new: bool
    banks: tuple[BankUse, ...]
    splices: tuple[PlacedSplice, ...]
    parked: tuple[ParkedEnds, ...]
    keep_apart: str | None
    stored_turns: int
    storage_used_mm2: float
    storage_mm2: float | None


@dataclass(frozen=True, slots=True)
class PortUse:
    """A port place (``name-n``), the cables in it by tag, and the diameters its seal must take."""

    port: str
    cables: tuple[str, ...]
    od_mm: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class Slack:
    """Lengths for one cable; ``stored_mm`` and ``turns`` a side of one ribbon, for the tray that asks most.

    ``window_mm`` is the opening of an express cable, both sides of the cut. ``remakes_left`` counts all remakes
    that the stored length affords after the first splice, planned ones included.
    """

    cable: str
    stored_mm: float
    turns: int
    sheath_opening_mm: float
    remakes_left: int
    window_mm: float | None = None
    slack_m: float | None = None


@dataclass(frozen=True, slots=True)
class Bend:
    """Bend check of the stored turns; ``loss_db`` bounds the added loss of the worst splice by wavelength (nm)."""

    ok: bool
    loss_db: Mapping[str, float]
    basis: str
    radius_mm: float | None = None
    required_mm: float | None = None


@dataclass(frozen=True, slots=True)
class ReserveHeld:
    """Free slots of a kind after the work, beside what the rules asked for.

    ``later``: slots that trays still to be added could give, where the reserve is kept in the stack.
    """

    slot_kind: str
    free: int
    asked: int
    later: int = 0


@dataclass(frozen=True, slots=True)
class Headroom:
    """How many more splices of one kind fit beside the work; ``proven``: one more was shown not to."""

    form: Literal["ribbon", "single"]
    fibres: int
    slot_kind: str
    more: int
    proven: bool


@dataclass(frozen=True, slots=True)
class SleeveCount:
    """Sleeves to carry: one a splice, and spares so that they last with the asked confidence."""

    sleeve: str
    splices: int
    spares: int
    quantity: int
    packs: int
    rework: float
    confidence: float


class MaterialLine(NamedTuple):
    """So many of an item, why, and in packs; ``price`` is of those packs. ``included`` came in the closure's box."""

    kind: Literal["closure", "tray", "sleeve", "material"]
    material: str
    title: str
    quantity: Decimal
    unit: str
    packs: int
    because: str
    included: Decimal = Decimal(0)
    price: Decimal | None = None
    currency: str | None = None


@dataclass(frozen=True, slots=True)
class Preparation:
    """The card for one ribbon form at this splice point: how its ends are stripped, cleaved and held."""

    method: str
    title: str
    ribbon_form: str
    fibres: int
    ends: int
    strip_dwell_s: float | None
    strip_repeats: int | None
    strip_length_mm: float | None
    strip_tolerance_mm: float | None
    cleave_length_mm: float | None
    cutback_mm: float | None
    holder: str | None
    notes: str | None
    shipped: bool


@dataclass(frozen=True, slots=True)
class CrewGain:
    """The hours with one technician, splicer or heater more, and what that saves of the 90 % figure."""

    add: Literal["technician", "splicer", "heater"]
    hours_median: float
    hours_90: float
    saves_h: float
    fits_window: bool | None = None


@dataclass(frozen=True, slots=True)
class CrewTime:
    """How long it takes: middle case and 90 % figure in hours, the slowest stage, and what was assumed.

    ``splices_in_window``: how many splices are done where not all are; None where all are or no window was given.
    """

    hours_median: float
    hours_90: float
    fits_window: bool | None
    bottleneck: str
    assumptions: tuple[str, ...]
    splices_in_window: int | None = None
    gains: tuple[CrewGain, ...] = ()


@dataclass(frozen=True, slots=True)
class Coil:
    """The coil of one cable's slack (mm): inner diameter, turns, thickness of the bundle, and how it lies.

    ``smallest_mm`` is the least inner diameter that the cable allows, ``outer_mm`` what the coil needs across,
    ``height_mm`` what it takes of the depth.
    """

    cable: str
    diameter_mm: float
    turns: int
    thickness_mm: float
    fits: bool
    smallest_mm: float | None = None
    outer_mm: float | None = None
    height_mm: float | None = None


@dataclass(frozen=True, slots=True)
class SlackRoom:
    """The most slack of one cable (m) whose coil goes in beside the closure and the other coils as they are."""

    cable: str
    slack_fits_m: float


@dataclass(frozen=True, slots=True)
class SiteFit:
    """Whether the closure and the coils fit the place; ``fits`` None where a figure is missing.

    ``depth_used_mm``: coils and closure one above the other, the coils alone where the closure gives no diameter.
    ``lid_closes``: None where that is not known, or where the place has no lid.
    """

    fits: bool | None
    coils: tuple[Coil, ...]
    notes: tuple[str, ...] = ()
    depth_used_mm: float | None = None
    lid_closes: bool | None = None
    slack_fits: tuple[SlackRoom, ...] = ()


@dataclass(frozen=True, slots=True)
class Alternative:
    """The verdict on one candidate closure. ``price`` is of closure and trays; None where one has none."""

    closure: str
    fits: bool
    trays: int | None = None
    price: Decimal | None = None
    currency: str | None = None
    outer_dm3: float | None = None
    reasons: tuple[Reason, ...] = ()


@dataclass(frozen=True, slots=True)
class Plan:
    """The plan of one splice point. Where ``fits`` is False there are no trays but ``reasons`` and ``remedies``.

    ``largest_part`` is then the most of the work that does fit, None where it is not decided whether all of it does;
    ``largest_part_undivided`` the most without dividing bundles that the rules keep together, where that is less.
    ``closure`` is None where several closures were judged and none fits. ``revisions`` names, as
    ``"<section>/<code>"``, the catalogue entries that the plan was made from. A plan that fits has its ``certificate``,
    and its ``headroom`` where the request asks for it; ``recorded`` are the remake rates that it learned from records,
    where it was asked to.
    """

    name: str
    fits: bool
    closure: str | None
    rules: Rules
    bundles: int
    splices: int
    trays: tuple[PlannedTray, ...] = ()
    proof: Proof | None = None
    ports: tuple[PortUse, ...] = ()
    spare_ports: tuple[str, ...] = ()
    slack: tuple[Slack, ...] = ()
    bend: Bend | None = None
    reserve: tuple[ReserveHeld, ...] = ()
    sleeves: tuple[SleeveCount, ...] = ()
    materials: tuple[MaterialLine, ...] = ()
    preparation: tuple[Preparation, ...] = ()
    lanes: tuple[Lanes, ...] = ()
    crew: CrewTime | None = None
    site: SiteFit | None = None
    alternatives: tuple[Alternative, ...] = ()
    reasons: tuple[Reason, ...] = ()
    remedies: tuple[Remedy, ...] = ()
    largest_part: LargestPart | None = None
    largest_part_undivided: LargestPart | None = None
    notes: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    revisions: Mapping[str, int] | None = None
    certificate: Certificate | None = None
    headroom: tuple[Headroom, ...] | None = None
    recorded: tuple[RecordedRate, ...] | None = None


@dataclass(frozen=True, slots=True)
class FitCheck:
    """Yes or no, and why, for every candidate closure; ``closure`` is the one that a plan would take."""

    name: str
    fits: bool
    closure: str | None
    bundles: int
    splices: int
    candidates: tuple[Alternative, ...]
    notes: tuple[str, ...] = ()
    headroom: tuple[Headroom, ...] | None = None
