"""The verdict on one closure: whether its ports, trays, storage and ratings take the work, and if not, what binds."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from types import MappingProxyType

from service.domain.catalogue import Catalogue, Closure, Sleeve, Tray
from service.domain.plan import Alternative, Reason
from service.domain.request import PlanRequest
from service.domain.splices import Work
from service.planning.demand import Demand, demand_on
from service.planning.express_room import CablesByTag, CableStowed, express_reasons
from service.planning.known_packings import solve
from service.planning.obstacles import packing_reasons
from service.planning.packing import NODE_LIMIT
from service.planning.packing.problem import Packing
from service.planning.ports import PortPlan, assign_ports
from service.planning.slack import opening_mm, window_mm
from service.planning.stowage import EndInTray, Stowage


@dataclass(frozen=True, slots=True)
class Verdict:
    """One closure judged; ``packing`` is None where the packing was not reached."""

    closure: Closure
    fits: bool
    reasons: tuple[Reason, ...]
    ports: PortPlan
    demand: Demand
    packing: Packing | None
    stowed: dict[str, CableStowed]
    notes: tuple[str, ...]

    @property
    def new_trays(self) -> tuple[Tray, ...]:
        """The trays to be added."""
        packed = self.packing.trays if self.packing is not None else ()
        return tuple(self.demand.trays[tray.kind] for tray in packed if tray.hanging is None)

    @property
    def price(self) -> tuple[Decimal, str] | None:
        """Price of closure and added trays (not those in its box) with its currency; None where not all are priced."""
        return price_of(self.closure, self.bought_trays) if self.fits else None

    @property
    def bought_trays(self) -> tuple[Tray, ...]:
        """The trays to be added that do not come in the closure's box."""
        boxed = {included.material: included.quantity for included in self.closure.includes}
        bought = []
        for tray in self.new_trays:
            left = boxed.get(tray.code, Decimal(0))
            if left >= 1:
                boxed[tray.code] = left - 1
            else:
                bought.append(tray)
        return tuple(bought)

    def alternative(self) -> Alternative:
        """The verdict as it is told to the caller."""
        price = self.price
        outer = self.closure.outer_mm3
        return Alternative(
            self.closure.code,
            self.fits,
            len(self.packing.trays) if self.fits and self.packing is not None else None,
            price[0] if price else None,
            price[1] if price else None,
            None if outer is None else round(outer / 1e6, 1),
            self.reasons,
        )


def price_of(*parts_or_groups: Closure | tuple[Tray, ...]) -> tuple[Decimal, str] | None:
    """The sum of the parts' prices and its currency; None where one has no price or currencies differ."""
    parts: list[Closure | Tray] = []
    for part in parts_or_groups:
        parts.extend(part if isinstance(part, tuple) else (part,))
    currencies = {part.currency for part in parts}
    if len(currencies) != 1 or any(part.price is None for part in parts):
        return None
    return sum((part.price for part in parts if part.price is not None), Decimal(0)), currencies.pop()


def judge(
    closure: Closure,
    request: PlanRequest,
    work: Work,
    catalogue: Catalogue,
    stowage: Stowage,
    cables: CablesByTag,
    nodes: int | None = None,
    sleeves_set: Mapping[int, Sleeve] = MappingProxyType({}),
    nodes_most: int = NODE_LIMIT,
) -> Verdict:
    """Judge one closure against the work of a splice point, with every limit that binds.

    With ``nodes`` only the yes or no is wanted, within so many search steps; a packing that fails gives one bare
    reason. ``nodes_most`` are the steps that there are at all. ``sleeves_set``: see ``demand_on``.
    """
    rules = request.rules
    reasons: list[Reason] = []
    notes: list[str] = []
    ports = assign_ports(closure, list(cables.values()), rules.spare_entries)
    reasons.extend(ports.reasons)
    reasons.extend(rating_reasons(closure, cables, rules.rated_for_all, notes))
    demand = demand_on(closure, work, rules, catalogue, stowage, request.existing_trays, sleeves_set)
    notes.extend(demand.notes)
    reasons.extend(demand.reasons)
    packing: Packing | None = None
    stowed: dict[str, CableStowed] = {}
    if demand.problem is not None:
        packing = solve(demand.problem, nodes_most if nodes is None else min(nodes, nodes_most))
        if packing.fits:
            stowed = _stowed(closure, work, demand, packing, stowage, cables)
            reasons.extend(express_reasons(closure, work, stowage, stowed, cables, notes))
        elif nodes is None:
            reasons.extend(packing_reasons(demand, packing))
        else:
            reasons.append(Reason("stack", 0, 0, "mm", "no packing was found"))
    return Verdict(closure, not reasons, tuple(reasons), ports, demand, packing, stowed, tuple(notes))


def rating_reasons(closure: Closure, cables: CablesByTag, asked: bool, notes: list[str]) -> list[Reason]:
    """Owner's rule: the rating by splice method covers all fibres of all cables that enter.

    After a state road authority's revision of its section 614, which sizes a closure by all strands that enter it.
    """
    if not asked:
        return []
    reasons = []
    for form, rated in (("ribbon", closure.rated_ribbon_fibres), ("single", closure.rated_single_fibres)):
        entering = sum(
            cable.fibres for _, cable in cables.values() if (cable.ribbon_form == "loose") == (form == "single")
        )
        if entering and rated is None:
            notes.append(f"closure {closure.code} has no rating for {form} splices: not compared with what enters")
        elif rated is not None and entering > rated:
            text = f"{entering} fibres enter for {form} splices and closure {closure.code} is rated for {rated}"
            reasons.append(Reason("capacity", entering, rated, "fibres", text))
    return reasons


def _stowed(
    closure: Closure, work: Work, demand: Demand, packing: Packing, stowage: Stowage, cables: CablesByTag
) -> dict[str, CableStowed]:
    """The stored ends of each cable in the trays they lie in, the longest for each cable."""
    longest: dict[str, EndInTray] = {}
    fewest: dict[str, int] = {}

    def note(tag: str, end: EndInTray) -> None:
        fewest[tag] = min(end.remakes_left, fewest.get(tag, end.remakes_left))
        if tag not in longest or end.stored_mm > longest[tag].stored_mm:
            longest[tag] = end

    seen: set[tuple[str, int, int]] = set()
    bundles = len(work.bundles)
    for packed in packing.trays:
        tray = demand.trays[packed.kind]
        for piece in packed.pieces:
            if piece.item < bundles:
                bundle = work.bundles[piece.item]
                pairing = stowage.pairing(bundle)
                for tag, kind in ((bundle.from_cable, pairing.from_), (bundle.to_cable, pairing.to)):
                    key = (tag, id(kind), packed.kind)
                    if key not in seen:
                        seen.add(key)
                        note(tag, stowage.end(kind, tray))
    openings = {
        tag: opening_mm(closure.lead_mm, end.stored_mm, closure.opening_step_mm) for tag, end in longest.items()
    }
    return {
        tag: CableStowed(end, fewest[tag], openings[tag], window_mm(openings[tag]) if cables[tag][0].express else None)
        for tag, end in longest.items()
    }
