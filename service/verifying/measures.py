"""Measures: a weight for all that must be held, and the most of it that one tray can hold, whatever is laid into it.

If the trays of a mix hold less than the need of any one measure, the mix cannot hold the work.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import product
from math import ceil, lcm

from service.verifying.facts import Facts, Load
from service.verifying.vessels import Vessel, most_in_empty, vessels
from service.verifying.weights import Sizes, Weighing, linear, most_held, sizes_of, weighings

_SETTINGS = 3000
_KEPT = 40
_SCALE = 10**9


@dataclass(frozen=True, slots=True)
class Measure:
    """``need`` of all work; what a new tray of each model holds of it, and each hanging one, in their order.

    ``reserve``: the need counts the reserve as well.
    """

    name: str
    need: int
    new: Mapping[str, int]
    hanging: tuple[int, ...]
    reserve: bool = False


@dataclass(frozen=True, slots=True)
class Work:
    """What is to be held: loads that stay whole, those that may be divided, and trays to hold them."""

    facts: Facts
    whole: tuple[Load, ...]
    divided: tuple[Load, ...]
    new: Mapping[str, Vessel]
    hanging: tuple[Vessel, ...]

    @property
    def vessels(self) -> tuple[Vessel, ...]:
        """A new tray of each model, then the hanging ones."""
        return (*self.new.values(), *self.hanging)


def work_of(facts: Facts) -> Work:
    """Tell the bundles that must stay whole from what may be divided."""
    hanging, new = vessels(facts)
    whole: list[Load] = []
    divided = list(facts.parked)
    for bundle in facts.bundles:
        stays = facts.split == "never" or (facts.split == "oversize" and bundle.size <= most_in_empty(facts, bundle))
        (whole if stays or bundle.size == 1 else divided).append(bundle)
    return Work(facts, tuple(whole), tuple(divided), new, tuple(hanging))


def measures_of(work: Work) -> list[Measure]:
    """All measures that are tried, the plain ones first."""
    found = list(_by_slots(work, reserve=False))
    if any(work.facts.reserve.values()):
        found += _by_slots(work, reserve=True)
    found += _by_channel(work)
    found += _by_entries(work)
    labels = _by_labels(work)
    return [*found, *([labels] if labels else [])]


def settings_of(vessel: Vessel, kinds: Sequence[str]) -> set[tuple[int, ...]] | None:
    """Slots of each kind that the banks give, however they are set; None where there are too many ways."""
    reached = {(0,) * len(kinds)}
    for bank in vessel.banks:
        choices = [(place, bank[kind]) for place, kind in enumerate(kinds) if bank.get(kind, 0)]
        if choices:
            reached = {
                (*given[:place], given[place] + slots, *given[place + 1 :])
                for given, (place, slots) in product(reached, choices)
            }
        if len(reached) > _SETTINGS:
            return None
    return reached


def _sizes(work: Work, loads: Iterable[Load], divided: Iterable[Load], reserve: bool) -> dict[str, Sizes]:
    whole: dict[str, Counter[int]] = {}
    units: Counter[str] = Counter()
    for load in loads:
        if load.slot_kind is not None:
            whole.setdefault(load.slot_kind, Counter())[load.size] += 1
    for load in divided:
        if load.slot_kind is not None:
            units[load.slot_kind] += load.size
    kept = {kind: asked for kind, asked in work.facts.reserve.items() if asked} if reserve else {}
    return {
        kind: sizes_of(whole.get(kind, Counter()), units[kind], kept.get(kind, 0))
        for kind in sorted({*whole, *units, *kept})
    }


def most_of_kind(vessel: Vessel, loads: Iterable[Load], kind: str) -> int:
    """The most splices of a kind that channel and entry let in, each taken for one of those that ask least."""
    mine = [load for load in loads if load.slot_kind == kind and load.shares[vessel.model] is not None]
    if not mine:
        return 0
    limit = vessel.slots_of(kind)
    share, ends = min(load.shares[vessel.model] or 0 for load in mine), min(load.ends for load in mine)
    if share and vessel.storage is not None:
        limit = min(limit, vessel.storage // share)
    if ends and vessel.ribbons is not None:
        limit = min(limit, vessel.ribbons // ends)
    return limit


def _by_slots(work: Work, reserve: bool) -> list[Measure]:
    """Slots of each kind, under many weighings, and banks shared between the kinds.

    Free slots that are kept in reserve take no channel and no entry, so with the reserve only slots count.
    """
    loads = (*work.whole, *work.divided)
    sizes = _sizes(work, work.whole, work.divided, reserve)
    kinds = list(sizes)
    trays = work.vessels
    caps: list[list[tuple[int, ...]]] = []
    for vessel in trays:
        settings = settings_of(vessel, kinds)
        if settings is None:
            return []
        most = [sizes[kind].all(reserve) for kind in kinds]
        if not reserve:
            most = [min(n, most_of_kind(vessel, loads, kind)) for n, kind in zip(most, kinds, strict=True)]
        settings = {tuple(map(min, given, most)) for given in settings}
        caps.append(sorted(settings))
    most_slots = [
        max((given[place] for settings in caps for given in settings), default=0) for place in range(len(kinds))
    ]

    def measure(name: str, chosen: Mapping[str, Weighing]) -> Measure:
        held = {
            kind: most_held(sizes[kind], chosen[kind], most_slots[place], reserve)
            for place, kind in enumerate(kinds)
            if kind in chosen
        }
        holds = [
            max(sum(held[kind][n] for kind, n in zip(kinds, given, strict=True) if kind in held) for given in settings)
            for settings in caps
        ]
        need = sum(weighing.of(sizes[kind], reserve) for kind, weighing in chosen.items())
        return Measure(name, need, dict(zip(work.new, holds, strict=False)), tuple(holds[len(work.new) :]), reserve)

    what = " and reserve" if reserve else ""
    plain: list[Measure] = []
    best: dict[str, list[tuple[Fraction, Weighing, int]]] = {}
    single: list[tuple[Fraction, Measure]] = []
    for place, kind in enumerate(kinds):
        capacities = sorted({given[place] for settings in caps for given in settings if given[place] > 1})[-4:]
        ranked = []
        for number, weighing in enumerate(weighings(sizes[kind], capacities)):
            made = measure(f"{kind} slots{what}{' by bundles kept whole' if number else ''}", {kind: weighing})
            largest = max([*made.new.values(), *made.hanging], default=0)
            if number == 0:
                plain.append(made)
            if largest:
                ratio = Fraction(made.need, largest)
                ranked.append((ratio, weighing, largest))
                single.append((ratio, made))
        ranked.sort(key=lambda entry: -entry[0])
        line = linear(sizes[kind])
        best[kind] = [entry for entry in ranked if entry[1] == line][:1] + [e for e in ranked if e[1] != line][:3]
    single.sort(key=lambda entry: -entry[0])
    found = plain + [made for _, made in single[:_KEPT]]
    if len(kinds) > 1 and all(best.values()):
        for choice in list(product(*(best[kind] for kind in kinds)))[:_KEPT]:
            unit = lcm(*(largest for _, _, largest in choice))
            if unit < 2**60:
                chosen = {k: w.times(unit // largest) for k, (_, w, largest) in zip(kinds, choice, strict=True)}
                found.append(measure(f"banks shared between slot kinds{what}", chosen))
    return found


def _by_channel(work: Work) -> list[Measure]:
    """The storage channel, by the least that each load takes, in µm² and as a part of the whole channel."""
    models = work.facts.models
    codes = sorted({vessel.model for vessel in work.vessels})
    area: list[int] = []
    part: list[int] = []
    loads = (*work.whole, *work.divided)
    for load in loads:
        admitted = [(models[code].storage, share) for code in codes if (share := load.shares[code]) is not None]
        area.append(min((0 if channel is None else share for channel, share in admitted), default=0))
        part.append(min((share * _SCALE // channel if channel else 0 for channel, share in admitted), default=0))

    def left(vessel: Vessel) -> int | None:
        return vessel.storage

    def left_part(vessel: Vessel) -> int | None:
        channel = models[vessel.model].storage
        if vessel.storage is None or not channel:
            return None
        return ceil(Fraction(vessel.storage, channel) * _SCALE)

    return [
        _weighed("storage channels", work, loads, area, left),
        _weighed("storage channels", work, loads, part, left_part),
    ]


def _by_entries(work: Work) -> list[Measure]:
    """The ribbons that may enter."""
    loads = (*work.whole, *work.divided)
    return [_weighed("ribbon entries", work, loads, [load.ends for load in loads], lambda vessel: vessel.ribbons)]


def _weighed(
    name: str, work: Work, loads: Sequence[Load], weights: Sequence[int], limit: Callable[[Vessel], int | None]
) -> Measure:
    """A measure by a weight a splice; a tray without a limit holds at most all that may lie in it."""

    def holds(vessel: Vessel) -> int:
        most = limit(vessel)
        mine = [(load, w) for load, w in zip(loads, weights, strict=True) if load.shares[vessel.model] is not None]
        admitted = sum(w * load.size for load, w in mine)
        return admitted if most is None else min(admitted, most)

    need = sum(w * load.size for load, w in zip(loads, weights, strict=True))
    new = {code: holds(vessel) for code, vessel in work.new.items()}
    return Measure(name, need, new, tuple(holds(vessel) for vessel in work.hanging))


def trays_for(work: Work, loads: Sequence[Load], divided: Sequence[Load]) -> int:
    """How many trays some loads need at the least, by slots under every weighing, if each tray were the best one."""
    trays = work.vessels
    sizes = _sizes(work, loads, divided, reserve=False)
    least = 1
    for kind, mine in sizes.items():
        slots = max((most_of_kind(vessel, (*loads, *divided), kind) for vessel in trays), default=0)
        slots = min(slots, mine.all(reserve=False))
        for weighing in weighings(mine, [slots]):
            largest = most_held(mine, weighing, slots, reserve=False)[slots]
            if largest:
                least = max(least, -(-weighing.of(mine, reserve=False) // largest))
    return least


def _by_labels(work: Work) -> Measure | None:
    """Trays that hold something: each label needs trays of its own."""
    labels = sorted({load.label for load in work.facts.bundles if load.label is not None})
    need = sum(
        trays_for(work, [b for b in work.whole if b.label == label], [d for d in work.divided if d.label == label])
        for label in labels
    )
    need = max(need, 1 if work.facts.loads else 0)
    return Measure("labels kept apart", need, dict.fromkeys(work.new, 1), (1,) * len(work.hanging))
