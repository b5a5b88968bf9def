"""What lies in a closure after a plan was carried out: hung with it, or added to what hung before."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import replace

from service.domain.catalogue import Cable, Catalogue
from service.domain.faults import Fault, Refused
from service.domain.installation import Contents, HungBank, HungCable, HungTray, LaidSplice
from service.domain.plan import Plan, PlannedTray
from service.domain.request import CableAtPoint, PlanRequest
from service.domain.splices import Work
from service.planning.hanging.ends import as_ranges, cut_fibres, fibres_of, is_ribbon, slots_taken, spliced_fibres
from service.planning.hanging.parking import Parking, as_mm2
from service.planning.hanging.standing import hanging_cables, hanging_trays
from service.planning.hanging.taking_out import trays_for
from service.planning.joints import SPLICES_MOST, cables_by_tag, work_of
from service.planning.stowage import Form, Stowage


def first_contents(
    plan: Plan, request: PlanRequest, catalogue: Catalogue, splices_most: int = SPLICES_MOST
) -> Contents:
    """What lies in a closure that was hung by a plan: visit 1.

    ``request`` and ``catalogue`` are those of the plan. Raises ``Refused`` for a plan that does not fit, and for one
    that was made for a closure which hung already.
    """
    if request.existing_trays:
        raise Refused([Fault("/plan", "hangs_already", "this plan adds to a closure that hangs already")])
    if not plan.fits or plan.closure is None:
        raise Refused([Fault("/plan", "does_not_fit", "this plan does not fit its closure: nothing can be hung by it")])
    empty = Contents(plan.closure, (), (), (), 0, 0)
    return _after(empty, plan, request, catalogue, work_of(request, catalogue, splices_most))


def after_addition(
    contents: Contents, plan: Plan, request: PlanRequest, catalogue: Catalogue, splices_most: int = SPLICES_MOST
) -> Contents:
    """What lies in a closure after an addition, as the next visit.

    ``request`` is the one that ``addition_request`` made, ``plan`` and ``catalogue`` are those of it. Raises
    ``Refused`` for a plan that does not fit, and where the closure is not as it was when the addition was planned.
    """
    if not plan.fits:
        raise Refused(
            [Fault("/plan", "does_not_fit", "this plan does not fit the closure: nothing can be added by it")]
        )
    hung = tuple(at_point for at_point in request.cables if at_point.hanging is not None)
    changed = Refused([Fault("/plan", "changed", "the closure has changed since this addition was planned")])
    if (request.closures, hung) != ((contents.closure,), hanging_cables(contents, catalogue)):
        raise changed
    work = work_of(request, catalogue, splices_most)
    cables = {tag: cable for tag, (_, cable) in cables_by_tag(request, catalogue).items()}
    # Plans of earlier versions counted the room of parked ends that they splice as taken.
    if request.existing_trays not in (trays_for(contents, work, cables), hanging_trays(contents)):
        raise changed
    return _after(contents, plan, request, catalogue, work)


def _after(contents: Contents, plan: Plan, request: PlanRequest, catalogue: Catalogue, work: Work) -> Contents:
    laying = _Laying(contents, request, catalogue, work)
    for planned in plan.trays:
        laying.lay(planned)
    # What is parked now comes last: an end that is spliced comes from where it lay before, not from among these.
    for planned in plan.trays:
        laying.park(planned)
    return laying.done(plan)


class _Laying:
    """The closure while the trays of a plan are laid one after the other."""

    def __init__(self, contents: Contents, request: PlanRequest, catalogue: Catalogue, work: Work) -> None:
        self.before = contents
        self.visit = contents.visits + 1
        self.catalogue = catalogue
        self.at_point: Mapping[str, tuple[CableAtPoint, Cable]] = cables_by_tag(request, catalogue)
        self.cables = {tag: cable for tag, (_, cable) in self.at_point.items()}
        self.stowage = Stowage(request.rules, catalogue, self.cables)
        self.cut = {hung.tag: cut_fibres(hung) for hung in contents.cables}
        self.parking = Parking(contents.trays)
        self.trays = {tray.position: tray for tray in contents.trays}
        self.splices: list[LaidSplice] = []
        # How many fibres each parked ribbon of a tube has: the plan tells ribbons by number alone.
        self.parked_fibres: dict[tuple[str, int], list[int]] = defaultdict(list)
        for ends in work.stored:
            self.parked_fibres[ends.cable, ends.tube].extend(
                self.cables[ends.cable].fibres_of_ribbon(ribbon) for ribbon in ends.ribbons[:1]
            )

    def lay(self, planned: PlannedTray) -> None:
        """Lay the splices that the plan has for one tray."""
        position = planned.position
        before = self.trays.get(position)
        if before is None:
            before = HungTray(position, planned.tray, (), None, 0.0, planned.storage_mm2, 0, (), self.visit)
            self.parking.open(position)
        splices = [self._splice(planned, number) for number in range(len(planned.splices))]
        self.splices.extend(splices)
        banks = tuple(
            HungBank(bank.bank, bank.slot_kind, bank.slots, self._parked_slots(planned, bank.bank, before, splices))
            for bank in planned.banks
            if bank.slot_kind is not None
        )
        self.trays[position] = replace(before, banks=banks, keep_apart=planned.keep_apart)

    def _um2(self, tag: str, form: Form, fibres: int, tray: str) -> int:
        return self.stowage.end(self.stowage.kind(tag, form, fibres), self.catalogue.trays[tray]).um2

    def _splice(self, planned: PlannedTray, number: int) -> LaidSplice:
        """A splice laid; ends that were parked are taken out of where they lay."""
        splice, position = planned.splices[number], planned.position
        by_ribbon = splice.from_.fibre is None
        form: Form = "ribbon" if by_ribbon else "single"
        um2 = []
        for end in (splice.from_, splice.to):
            um2.append(self._um2(end.cable, form, splice.fibres, planned.tray))
            cable = self.cables[end.cable]
            parked = self.cut.get(end.cable, set()).intersection(fibres_of(end, cable))
            if parked:
                whole = is_ribbon(end, cable) and len(parked) == splice.fibres
                tube = cable.tube_of_ribbon(end.ribbon)
                size = cable.fibres_of_ribbon(end.ribbon)
                self.parking.take_out(end.cable, tube, len(parked), whole, size, position)
        self.parking.storage[position] += sum(um2)
        self.parking.ribbons[position] += 2 if by_ribbon else 0
        return LaidSplice(
            self.before.splices_laid + len(self.splices) + number + 1,
            position,
            splice.bank,
            splice.slot,
            splice.from_,
            splice.to,
            splice.fibres,
            splice.sleeve,
            self.visit,
            (as_mm2(um2[0]), as_mm2(um2[1])),
        )

    def park(self, planned: PlannedTray) -> None:
        """Park the ends that the plan parks in one tray."""
        for ends in planned.parked:
            for by_ribbon, count in ((True, ends.ribbons), (False, ends.fibres)):
                if count:
                    fibres = max(self.parked_fibres[ends.cable, ends.tube]) if by_ribbon else 1
                    um2 = count * self._um2(ends.cable, "ribbon" if by_ribbon else "single", fibres, planned.tray)
                    self.parking.storage[planned.position] += um2
                    self.parking.ribbons[planned.position] += count if by_ribbon else 0
                    self.parking.park(planned.position, ends.cable, ends.tube, by_ribbon, count, um2)

    def _parked_slots(
        self, planned: PlannedTray, number: int, before: HungTray, splices: list[LaidSplice]
    ) -> tuple[int, ...]:
        """The slots of a bank that parked ends lie in: those newly taken, the lowest free ones, without a splice."""
        bank = planned.banks[number - 1]
        taken = slots_taken(self.before, planned.position, number)
        free = [slot for slot in range(1, bank.slots + 1) if slot not in taken]
        laid = {splice.slot for splice in splices if splice.bank == number}
        held = [slot for each in before.banks if each.bank == number for slot in each.parked]
        return tuple(sorted({*held, *free[: bank.used - len(taken)]} - laid))

    def done(self, plan: Plan) -> Contents:
        """The closure with all of it laid."""
        splices = (*self.before.splices, *self.splices)
        return Contents(
            self.before.closure,
            tuple(self._cable(tag, plan) for tag in self.at_point),
            tuple(self.parking.tray(tray) for _, tray in sorted(self.trays.items())),
            splices,
            self.before.splices_laid + len(self.splices),
            self.visit,
        )

    def _cable(self, tag: str, plan: Plan) -> HungCable:
        at_point, cable = self.at_point[tag]
        cut = self.cut.get(tag, set()).union(
            *(spliced_fibres(self.splices, tag, side, cable) for side in ("in", "out"))
        )
        if not at_point.express:
            # A cable that ends here is cut through: an opened tube is cut whole.
            tubes = {cable.tube_of_ribbon(cable.ribbon_of_fibre(fibre)) for fibre in cut}
            cut = {f for f in range(1, cable.fibres + 1) if cable.tube_of_ribbon(cable.ribbon_of_fibre(f)) in tubes}
        windows = [slack.window_mm for slack in plan.slack if slack.cable == tag and slack.window_mm is not None]
        for hung in self.before.cables:
            if hung.tag == tag:
                if hung.window_mm is not None:
                    windows.append(hung.window_mm)
                return replace(hung, cut=as_ranges(cut), window_mm=max(windows, default=None))
        ports = tuple(use.port for use in plan.ports if tag in use.cables)
        return HungCable(
            tag, at_point.cable, at_point.express, ports, as_ranges(cut), self.visit, at_point.slack_m,
            window_mm=max(windows, default=None),
        )  # fmt: skip
