"""From a packing to trays with every splice in its bank and slot."""

from __future__ import annotations

from collections.abc import Sequence

from service.domain.plan import BankUse, ParkedEnds, PlacedSplice, PlannedTray
from service.domain.request import ExistingTray
from service.domain.splices import Splice, Work
from service.planning.demand import Demand
from service.planning.packing.problem import PackedTray, Packing
from service.planning.stowage import Stowage


def placed_trays(
    work: Work, demand: Demand, packing: Packing, stowage: Stowage, existing: Sequence[ExistingTray]
) -> tuple[PlannedTray, ...]:
    """Lay the splices of every piece side by side into the banks of its tray, in cable order.

    Hanging trays come first, in their positions; the splices of a divided bundle follow the trays' positions.
    """
    problem = demand.problem
    assert problem is not None
    by_hanging = {tray.hanging: tray for tray in packing.trays if tray.hanging is not None}
    hanging = [
        by_hanging.get(place) or PackedTray(tray.kind, place, tuple(kind for kind, _ in tray.banks), ())
        for place, tray in enumerate(problem.hanging)
    ]
    new = [tray for tray in packing.trays if tray.hanging is None]
    queues = [iter(bundle.splices) for bundle in work.bundles]
    return tuple(
        _Laying(position, packed, work, demand, stowage, existing).lay(queues)
        for position, packed in enumerate([*hanging, *new], start=1)
    )


class _Laying:
    """One tray being filled: the next free slot of each bank, by slot kind."""

    def __init__(
        self,
        position: int,
        packed: PackedTray,
        work: Work,
        demand: Demand,
        stowage: Stowage,
        existing: Sequence[ExistingTray],
    ) -> None:
        self.position = position
        self.packed = packed
        self.work = work
        self.demand = demand
        self.stowage = stowage
        self.tray = demand.trays[packed.kind]
        self.before = existing[packed.hanging] if packed.hanging is not None else None
        slots = self.tray.single_banks()
        taken = {bank.bank: bank.slots_taken for bank in self.before.banks} if self.before else {}
        self.banks: list[tuple[str | None, int]] = []
        for number, kind in enumerate(packed.banks, start=1):
            name = None if kind is None else demand.slot_kinds[kind]
            self.banks.append((name, slots[number - 1].get(name, 0) if name else 0))
        self.used = [len(taken.get(number, ())) for number in range(1, len(self.banks) + 1)]
        # Slots from which splices were taken out lie between those in use: the lowest free one is filled first.
        self.free = [
            iter([slot for slot in range(1, slots + 1) if slot not in taken.get(number, ())])
            for number, (_, slots) in enumerate(self.banks, start=1)
        ]

    def _next(self, kind: str) -> tuple[int, int]:
        for place, (name, slots) in enumerate(self.banks):
            if name == kind and self.used[place] < slots:
                self.used[place] += 1
                return place + 1, next(self.free[place])
        raise AssertionError(f"the packing gave tray {self.tray.code} more {kind} splices than it has slots")

    def lay(self, queues: Sequence[object]) -> PlannedTray:
        """Fill the tray, taking each bundle's splices from its queue."""
        bundles = self.work.bundles
        placed: list[PlacedSplice] = []
        parked: list[ParkedEnds] = []
        label = self.before.keep_apart if self.before else None
        storage = round((self.before.storage_used_mm2 if self.before else 0.0) * 1e6)
        turns = 0
        slot_kinds = self.demand.slot_kinds
        problem = self.demand.problem
        assert problem is not None
        for piece in self.packed.pieces:
            if piece.item >= len(bundles):
                ends = self.demand.parked[piece.item - len(bundles)]
                item = problem.items[piece.item]
                if item.slots:
                    for _ in range(piece.count):
                        self._next(slot_kinds[item.slot_kind])
                storage += piece.count * self.stowage.end(ends.kind, self.tray).um2
                ribbons, fibres = (piece.count, 0) if ends.by_ribbon else (0, piece.count)
                parked.append(ParkedEnds(ends.ends.cable, ends.ends.tube, ribbons, fibres))
                continue
            bundle = bundles[piece.item]
            sleeve = self.demand.sleeves[piece.item]
            pairing = self.stowage.pairing(bundle)
            one, other = self.stowage.end(pairing.from_, self.tray), self.stowage.end(pairing.to, self.tray)
            turns = max(turns, one.turns + other.turns)
            storage += piece.count * (one.um2 + other.um2)
            label = bundle.label if bundle.label is not None else label
            queue = queues[piece.item]
            for _ in range(piece.count):
                splice: Splice = next(queue)  # type: ignore[call-overload]
                bank, slot = self._next(sleeve.slot_kind)
                placed.append(
                    PlacedSplice(bank, slot, splice.from_, splice.to, bundle.fibres, sleeve.code, piece.item + 1)
                )
        return PlannedTray(
            self.position,
            self.tray.code,
            self.before is None,
            tuple(
                BankUse(number, kind, slots, self.used[number - 1])
                for number, (kind, slots) in enumerate(self.banks, start=1)
            ),
            tuple(placed),
            tuple(parked),
            label,
            turns,
            round(storage / 1e6, 1),
            self.tray.storage_mm2,
        )
