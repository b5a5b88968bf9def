"""The certificate as it is read from a plan."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Mapping
from dataclasses import dataclass, field, replace
from typing import TypeVar

from service.verifying.members import Malformed, Member
from service.verifying.rates import RateFacts, rate_from

T = TypeVar("T")
_MANY = 1_000_000
"""More fibres, ports or trays than this are no closure, and would take long to go through."""

Shares = Mapping[str, int | None]
"""What one splice or parked end takes of the channel (µm²), by tray model; None: it may not lie there."""


@dataclass(frozen=True, slots=True)
class Model:
    """A tray model: pitch in units of height, price in hundredths, slots of each kind by bank."""

    code: str
    pitch: int
    most: int
    price: int | None
    banks: tuple[Mapping[str, int], ...]
    storage: int | None
    ribbons: int | None
    pointer: str


@dataclass(frozen=True, slots=True)
class Load:
    """What has to lie in trays: a bundle (``number`` from 1) or, with number 0, parked ends.

    ``slots`` is 1, or 0 for parked ends that take none.
    """

    number: int
    slot_kind: str | None
    size: int
    label: str | None
    ends: int
    shares: Shares
    pointer: str
    sleeve: str = ""
    fibres: int = 0
    place: tuple[str, int, str] = ("", 0, "")

    @property
    def slots(self) -> int:
        """Slots that one splice or parked end takes."""
        return 0 if self.slot_kind is None else 1


@dataclass(frozen=True, slots=True)
class Found:
    """A hanging tray as it was found; ``banks`` by number: (slot kind, slots used).

    ``taken`` are the slots in use of the banks where they are not the first ones.
    """

    position: int
    model: str
    banks: Mapping[int, tuple[str, int]]
    label: str | None
    storage: int
    ribbons: int
    pointer: str
    taken: Mapping[int, frozenset[int]] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class CableModel:
    """A cable at the splice point; ribbons and fibres are counted through it from 1, the last ribbon may be short.

    ``held`` are the port places of a cable that hung before, None of a new one; ``cut``, ``spliced`` and
    ``spliced_out`` its fibres that were cut and spliced then.
    """

    od: float
    express: bool
    fibres: int
    ribbon_fibres: int
    ribbons_per_tube: int
    held: tuple[str, ...] | None = None
    cut: frozenset[int] = frozenset()
    spliced: frozenset[int] = frozenset()
    spliced_out: frozenset[int] = frozenset()

    @property
    def ribbons(self) -> int:
        """How many ribbons it has."""
        return -(-self.fibres // self.ribbon_fibres)

    @property
    def tubes(self) -> int:
        """How many tubes it has."""
        return -(-self.ribbons // self.ribbons_per_tube)

    def tube_of(self, fibre: int) -> int:
        """The tube in which a fibre lies."""
        return -(-fibre // (self.ribbon_fibres * self.ribbons_per_tube))

    def fibres_in(self, tubes: Collection[int]) -> Iterator[int]:
        """The fibres of some tubes."""
        return (fibre for fibre in range(1, self.fibres + 1) if self.tube_of(fibre) in tubes)

    def in_ribbon(self, ribbon: int) -> range:
        """The fibres of a ribbon."""
        return range((ribbon - 1) * self.ribbon_fibres + 1, min(ribbon * self.ribbon_fibres, self.fibres) + 1)


@dataclass(frozen=True, slots=True)
class PortModel:
    """Equal cable entries."""

    count: int
    cables: int
    od_min: float
    od_max: float


@dataclass(frozen=True, slots=True)
class SleeveModel:
    """A sleeve: its slot kind, the size of its pack, and the rates at which a joint costs another one."""

    slot_kind: str
    pack_of: int
    rework: tuple[RateFacts, ...]
    pointer: str


@dataclass(frozen=True, slots=True)
class Facts:
    """The whole certificate."""

    units_per_mm: int
    stack: int
    models: Mapping[str, Model]
    ports: Mapping[str, PortModel]
    cables: Mapping[str, CableModel]
    sleeves: Mapping[str, SleeveModel]
    bundles: tuple[Load, ...]
    parked: tuple[Load, ...]
    hanging: tuple[Found, ...]
    split: str
    keep: str
    minimise: str
    reserve: Mapping[str, int]
    reserve_in: str
    spare_trays: int
    later: tuple[str, ...]

    @property
    def loads(self) -> tuple[Load, ...]:
        """Bundles, then parked ends."""
        return self.bundles + self.parked


def facts_from(certificate: Member, keep: str = "none") -> Facts:
    """Read a certificate; raises ``Malformed`` where it contradicts itself.

    ``keep`` is the plan's rule of what stays together.
    """
    models = _by_code(certificate["trays"], "tray", _model)
    cables = _by_code(certificate["cables"], "cable", _cable)
    sleeves = _by_code(certificate["sleeves"], "sleeve", _sleeve)
    bundles = tuple(_bundle(bundle, place, models) for place, bundle in enumerate(certificate["bundles"].each()))
    for bundle in bundles:
        if bundle.sleeve not in sleeves or sleeves[bundle.sleeve].slot_kind != bundle.slot_kind:
            raise Malformed(f"{bundle.pointer}/slot_kind", "is not the slot kind of the bundle's sleeve")
    reserve = certificate["reserve"]
    later = tuple(_known(code, models) for code in certificate["later"].each())
    return Facts(
        units_per_mm=certificate["units_per_mm"].whole(1),
        stack=certificate["stack"].whole(),
        models=models,
        ports=_by_code(certificate["ports"], "port", _port),
        cables=cables,
        sleeves=sleeves,
        bundles=bundles,
        parked=tuple(_parked(ends, models) for ends in certificate["parked"].each()),
        hanging=tuple(_found(tray, place, models) for place, tray in enumerate(certificate["hanging"].each())),
        split=certificate["split"].one_of("never", "oversize", "free"),
        keep=keep,
        minimise=certificate["minimise"].one_of("trays", "price"),
        reserve={kind: asked.whole() for kind, asked in reserve["asked"].named()},
        reserve_in=reserve["in"].one_of("trays", "stack"),
        spare_trays=certificate["spare_trays"].whole(),
        later=later,
    )


def _by_code(members: Member, name: str, read: Callable[[Member], T]) -> dict[str, T]:
    found: dict[str, T] = {}
    for member in members.each():
        code = member[name].text()
        if code in found:
            raise Malformed(f"{member.pointer}/{name}", "stands there twice")
        found[code] = read(member)
    return found


def _known(code: Member, models: Mapping[str, Model]) -> str:
    if code.text() not in models:
        raise Malformed(code.pointer, f"is no tray that the certificate knows: {code.text()}")
    return code.text()


def _maybe(member: Member) -> int | None:
    return None if member.value is None else member.whole()


def _word(member: Member) -> str | None:
    return None if member.value is None else member.text()


def _model(tray: Member) -> Model:
    return Model(
        tray["tray"].text(),
        tray["pitch"].whole(),
        tray["most"].whole(0, _MANY),
        _maybe(tray["price"]),
        tuple({kind: slots.whole() for kind, slots in bank.named()} for bank in tray["banks"].each()),
        _maybe(tray["storage_um2"]),
        _maybe(tray["ribbons"]),
        tray.pointer,
    )


def _cable(cable: Member) -> CableModel:
    model = CableModel(
        cable["od_mm"].number(),
        cable["express"].flag(),
        cable["fibres"].whole(1, _MANY),
        cable["ribbon_fibres"].whole(1),
        cable["ribbons_per_tube"].whole(1),
    )
    if not cable.has("hanging"):
        return model
    hanging = cable["hanging"]
    spliced, spliced_out = (_fibres(hanging, name, model) for name in ("spliced", "spliced_out"))
    cut = _fibres(hanging, "cut", model) | spliced | spliced_out
    if not model.express:
        if spliced_out:
            raise Malformed(f"{hanging.pointer}/spliced_out", "the cable does not pass through")
        # A cable that ends here is cut through: with one fibre all of its tube.
        cut = frozenset(model.fibres_in({model.tube_of(fibre) for fibre in cut}))
    held = tuple(port.text() for port in hanging["ports"].each())
    return replace(model, held=held, cut=cut, spliced=spliced, spliced_out=spliced_out)


def _fibres(hanging: Member, name: str, model: CableModel) -> frozenset[int]:
    """The fibres of a range text, every one of which the cable has."""
    if not hanging.has(name):
        return frozenset()
    found: set[int] = set()
    for part in hanging[name].text().split(","):
        first, _, last = part.partition("-")
        if not (first.isdecimal() and (last or first).isdecimal()):
            raise Malformed(f"{hanging.pointer}/{name}", "is no range of fibres")
        low, high = int(first), int(last or first)
        if not 1 <= low <= high <= model.fibres:
            raise Malformed(f"{hanging.pointer}/{name}", f"the cable has fibres 1 to {model.fibres}")
        found.update(range(low, high + 1))
    return frozenset(found)


def _port(port: Member) -> PortModel:
    return PortModel(
        port["count"].whole(0, _MANY), port["cables"].whole(), port["od_min_mm"].number(), port["od_max_mm"].number()
    )


def _sleeve(sleeve: Member) -> SleeveModel:
    rework = tuple(rate_from(group) for group in sleeve["rework"].each())
    return SleeveModel(sleeve["slot_kind"].text(), sleeve["pack_of"].whole(1), rework, sleeve.pointer)


def _shares(member: Member, models: Mapping[str, Model]) -> Shares:
    shares = {code: _maybe(share) for code, share in member.named()}
    if set(shares) != set(models):
        raise Malformed(member.pointer, "does not name the trays of the certificate, each once")
    return shares


def _bundle(bundle: Member, place: int, models: Mapping[str, Model]) -> Load:
    if bundle["bundle"].whole() != place + 1:
        raise Malformed(f"{bundle.pointer}/bundle", "is out of turn: bundles are numbered from 1")
    return Load(
        place + 1,
        bundle["slot_kind"].text(),
        bundle["splices"].whole(1),
        _word(bundle["keep_apart"]),
        bundle["ribbon_ends"].whole(),
        _shares(bundle["storage_um2"], models),
        bundle.pointer,
        bundle["sleeve"].text(),
        bundle["fibres"].whole(1),
    )


def _parked(ends: Member, models: Mapping[str, Model]) -> Load:
    return Load(
        0,
        _word(ends["slot_kind"]),
        ends["count"].whole(1),
        None,
        ends["ribbon_ends"].whole(),
        _shares(ends["storage_um2"], models),
        ends.pointer,
        place=(ends["cable"].text(), ends["tube"].whole(), ends["of"].one_of("ribbons", "fibres")),
    )


def _found(tray: Member, place: int, models: Mapping[str, Model]) -> Found:
    if tray["position"].whole() != place + 1:
        raise Malformed(f"{tray.pointer}/position", "is out of turn: trays are numbered from 1")
    model = models[_known(tray["tray"], models)]
    banks: dict[int, tuple[str, int]] = {}
    taken: dict[int, frozenset[int]] = {}
    for bank in tray["banks"].each():
        number, kind, used = bank["bank"].whole(1), bank["slot_kind"].text(), bank["used"].whole()
        if number in banks or number > len(model.banks) or used > model.banks[number - 1].get(kind, 0):
            raise Malformed(bank.pointer, f"is no bank of tray {model.code}, or uses more slots than it gives")
        banks[number] = (kind, used)
        if bank.has("taken"):
            slots = [slot.whole(1, model.banks[number - 1][kind]) for slot in bank["taken"].each()]
            taken[number] = frozenset(slots)
            if len(slots) != used or len(taken[number]) != used:
                raise Malformed(f"{bank.pointer}/taken", f"does not name {used} slots")
    return Found(
        place + 1,
        model.code,
        banks,
        _word(tray["keep_apart"]),
        tray["storage_um2"].whole(),
        tray["ribbons"].whole(),
        tray.pointer,
        taken,
    )
