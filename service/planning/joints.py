"""Joints to splices, bundles and lanes; refuses what cannot be joined, with a pointer to every fault."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Literal

from service.domain.catalogue import Cable, Catalogue
from service.domain.faults import Fault, Refused
from service.domain.request import CableAtPoint, Joint, PlanRequest, Ranges, Rules, Side
from service.domain.splices import Bundle, RibbonEnd, Splice, Work
from service.planning.existing import existing_faults
from service.planning.hanging_cables import hanging_faults, hanging_notes
from service.planning.lanes import Lane, lane_ends, lane_summary

SPLICES_MOST = 10_000
"""Most splices of one splice point where the caller sets no bound of its own."""

Form = Literal["ribbon", "single"]


class _Cables:
    """The cables of a request by tag, each with the record of which of its fibre ends are spoken for."""

    def __init__(self, request: PlanRequest, catalogue: Catalogue, faults: list[Fault]) -> None:
        self.lanes: dict[str, Lane] = {}
        seen: set[str] = set()
        for place, at_point in enumerate(request.cables):
            if at_point.tag in seen:
                faults.append(
                    Fault(
                        f"/cables/{place}/tag", "duplicate", f"the tag {at_point.tag!r} is given to another cable too"
                    )
                )
            cable = catalogue.cables.get(at_point.cable)
            if cable is None:
                faults.append(_missing(f"/cables/{place}/cable", "cables", at_point.cable, catalogue))
            elif at_point.tag not in seen:
                self.lanes[at_point.tag] = Lane(at_point, cable)
            seen.add(at_point.tag)
        self.tags = seen


def _missing(pointer: str, kind: str, code: str, catalogue: Catalogue) -> Fault:
    if f"{kind}/{code}" in catalogue.retired:
        return Fault(pointer, "retired", f"{code!r} is retired; choose an entry in use")
    return Fault(pointer, "unknown_code", f"the catalogue has no {code!r} among its {kind}")


def work_of(request: PlanRequest, catalogue: Catalogue, splices_most: int = SPLICES_MOST) -> Work:
    """Lay out the joints of a request.

    Bundles stand in the order of the joints, inside a joint in the order in which its pairs meet a pair of tubes.
    Raises ``Refused`` with every fault found, pointers into the request.
    """
    faults: list[Fault] = []
    cables = _Cables(request, catalogue, faults)
    faults.extend(_closure_faults(request, catalogue))
    faults.extend(_rule_faults(request.rules))
    faults.extend(existing_faults(request, catalogue))
    faults.extend(hanging_faults(request, catalogue))
    bundles: list[Bundle] = []
    notes: dict[str, None] = {}
    room = splices_most
    for number, joint in enumerate(request.joints):
        pairs = _Pairs(number, joint, cables, faults)
        if pairs.count > room:
            faults.append(
                Fault("/joints", "too_many", f"more than {splices_most} splices at one splice point; divide the work")
            )
            break
        room -= pairs.count
        if pairs.sound:
            bundles.extend(pairs.bundles(request.rules))
            notes.update(dict.fromkeys(pairs.notes))
    if faults:
        raise Refused(faults)
    notes.update(dict.fromkeys(hanging_notes(cables.lanes.values())))
    stored = tuple(ends for lane in cables.lanes.values() for ends in lane_ends(lane))
    opened = tuple(tag for tag, lane in cables.lanes.items() if lane.tubes_opened_now())
    lanes = tuple(lane_summary(lane) for lane in cables.lanes.values())
    return Work(tuple(bundles), stored, lanes, tuple(notes), opened)


def _closure_faults(request: PlanRequest, catalogue: Catalogue) -> Iterator[Fault]:
    for place, code in enumerate(request.closures):
        if code not in catalogue.closures:
            yield _missing(f"/closures/{place}", "closures", code, catalogue)
        elif code in request.closures[:place]:
            yield Fault(f"/closures/{place}", "duplicate", f"the closure {code!r} is named twice")
    if not request.closures and not catalogue.closures:
        yield Fault("/closures", "empty_catalogue", "the catalogue has no closure to choose from")


def _rule_faults(rules: Rules) -> Iterator[Fault]:
    if rules.rework is not None and rules.rework_fibre is not None:
        yield Fault("/rules/rework_fibre", "conflict", "give rework for a joint or rework_fibre for a fibre, not both")
    rework = rules.rework
    if rules.rework_sleeve is not None and isinstance(rework, int | float) and rules.rework_sleeve > rework:
        yield Fault(
            "/rules/rework_sleeve", "range", "remakes that cost the sleeve are among all remakes: at most rework"
        )


class _Pairs:
    """One joint: its two sides checked, and paired off in order."""

    def __init__(self, number: int, joint: Joint, cables: _Cables, faults: list[Fault]) -> None:
        self.number = number
        self.joint = joint
        self.notes: list[str] = []
        self.count = 0
        before = len(faults)
        pointer = f"/joints/{number}"
        from_ = _OneSide(f"{pointer}/from", joint.from_, joint, cables, faults, number)
        to = _OneSide(f"{pointer}/to", joint.to, joint, cables, faults, number)
        self.from_, self.to = from_, to
        if (joint.from_.ribbons is None) != (joint.to.ribbons is None):
            faults.append(Fault(f"{pointer}/to", "mixed", "name ribbons on both sides of a joint, or fibres on both"))
        elif from_.known and to.known and from_.count != to.count:
            faults.append(
                Fault(
                    f"{pointer}/to/{to.member}",
                    "unequal",
                    f"the two sides are of unequal length: {from_.count} {from_.units} to {to.count}",
                )
            )
        elif from_.known and to.known and len(faults) == before:
            self.count = from_.count
            self._check_fibres(pointer, faults)
        if joint.split_ribbons and len(faults) == before and not (from_.halves or to.halves):
            faults.append(
                Fault(f"{pointer}/split_ribbons", "not_24", "neither side has 24-fibre ribbons to split into twelves")
            )
        self.sound = from_.known and to.known and len(faults) == before

    def _check_fibres(self, pointer: str, faults: list[Fault]) -> None:
        """Ribbons of unequal fibre count cannot be mass-spliced whole; name the first pair that differs."""
        if self.joint.from_.ribbons is None:
            return
        one, other = self.from_.lane.cable, self.to.lane.cable
        whole = not (one.fibres % one.ribbon_fibres or other.fibres % other.ribbon_fibres)
        if one.ribbon_fibres != other.ribbon_fibres or self.from_.halves or not whole:
            unequal = self._unequal()
            if unequal is not None:
                faults.append(Fault(f"{pointer}/to/ribbons", "unequal_fibres", unequal))
                return
        if one.pitch_um != other.pitch_um:
            self.notes.append(
                f"pitch change: {self.joint.from_.cable} has {one.pitch_um} µm fibre pitch and {self.joint.to.cable} "
                f"{other.pitch_um} µm; the joint needs a holder for both"
            )
        for side, cable in ((self.joint.from_, one), (self.joint.to, other)):
            if cable.ribbon_form == "loose":
                self.notes.append(
                    f"the loose fibres of {side.cable} are made into ribbons in the field: material and time are added"
                )

    def _unequal(self) -> str | None:
        """The first pair of ribbons whose fibre counts differ, and what to do about it."""
        for (a, _), (b, _) in zip(self.from_.units_in_order(), self.to.units_in_order(), strict=True):
            left, right = self.from_.fibres_of(a), self.to.fibres_of(b)
            if left != right:
                hint = (
                    "; set split_ribbons to join 24-fibre ribbons as two twelves"
                    if {left, right} == {12, 24} and not self.joint.split_ribbons
                    else "; join them by fibres"
                )
                return (
                    f"ribbon {a} of {self.joint.from_.cable} has {left} fibres, "
                    f"ribbon {b} of {self.joint.to.cable} has {right}{hint}"
                )
        return None

    def bundles(self, rules: Rules) -> list[Bundle]:
        """The joint's bundles, by what the rules keep together."""
        by_ribbon = self.joint.from_.ribbons is not None
        form: Form = "ribbon" if by_ribbon else "single"
        groups: dict[tuple[int, ...], list[Splice]] = {}
        left, right = self.from_, self.to
        keep = rules.keep
        for (a, half_a), (b, half_b) in zip(left.units_in_order(), right.units_in_order(), strict=True):
            fibres = left.fibres_of(a) if by_ribbon else 1
            if keep == "tube":
                key: tuple[int, ...] = (left.tube_of(a), right.tube_of(b), fibres)
            elif keep == "joint":
                key = (0, 0, fibres)
            else:
                key = (left.tube_of(a), right.tube_of(b), fibres, len(groups))
            groups.setdefault(key, []).append(Splice(left.end(a, half_a), right.end(b, half_b)))
        return [
            Bundle(
                self.number,
                form,
                key[2],
                self.joint.from_.cable,
                key[0],
                self.joint.to.cable,
                key[1],
                self.joint.keep_apart,
                tuple(splices),
            )
            for key, splices in groups.items()
        ]


class _OneSide:
    """One side of a joint against its cable: range, form and use checked, then read unit by unit."""

    lane: Lane

    def __init__(
        self, pointer: str, side: Side, joint: Joint, cables: _Cables, faults: list[Fault], number: int
    ) -> None:
        self.side = side
        by_ribbon = side.ribbons is not None
        self.member = "ribbons" if by_ribbon else "fibres"
        self.ranges: Ranges = side.ribbons or side.fibres or ()
        self.known = False
        self.halves = False
        self.count = 0
        self.units = self.member
        lane = cables.lanes.get(side.cable)
        if lane is None:
            if side.cable not in cables.tags:
                faults.append(
                    Fault(f"{pointer}/cable", "unknown_tag", f"no cable of this request has the tag {side.cable!r}")
                )
            return
        self.lane = lane
        cable = lane.cable
        if side.end == "out" and not lane.at_point.express:
            faults.append(Fault(f"{pointer}/end", "not_express", f"{side.cable} ends here: it has no outgoing end"))
            return
        if by_ribbon and (cable.ribbon_fibres == 1 or (cable.ribbon_form == "loose" and not cable.ribbonise)):
            faults.append(
                Fault(f"{pointer}/ribbons", "no_ribbons", f"{side.cable} ({cable.code}) has no ribbons: name fibres")
            )
            return
        most = cable.ribbons if by_ribbon else cable.fibres
        back = next(((a, b) for a, b in self.ranges if a > b), None)
        if back is not None:
            text = f"the range {back[0]}-{back[1]} runs backwards; write {back[1]}-{back[0]}"
            faults.append(Fault(f"{pointer}/{self.member}", "range", text))
            return
        beyond = next(((a, b) for a, b in self.ranges if a < 1 or b > most), None)
        if beyond is not None:
            text = str(beyond[0]) if beyond[0] == beyond[1] else f"{beyond[0]}-{beyond[1]}"
            faults.append(
                Fault(
                    f"{pointer}/{self.member}",
                    "outside",
                    f"{text} is outside {side.cable} ({cable.code}), whose {self.member} run from 1 to {most}",
                )
            )
            return
        self.known = True
        self.halves = by_ribbon and joint.split_ribbons and cable.ribbon_fibres == 24
        units = sum(b - a + 1 for a, b in self.ranges)
        self.count = units
        if self.halves:
            self.count = sum(len(self._halves(r)) for a, b in self.ranges for r in range(a, b + 1))
            self.units = "twelves"
        for a, b in self.ranges:
            first, last = (lane.fibres_of_ribbons(a, b)) if by_ribbon else (a, b)
            clash = lane.take(side.end, first, last, f"/joints/{number}")
            if clash is not None:
                fibre, where = clash
                what = f"ribbon {cable.ribbon_of_fibre(fibre)}" if by_ribbon else f"fibre {fibre}"
                faults.append(
                    Fault(
                        f"{pointer}/{self.member}", "used_twice", f"{what} of {side.cable} is used already, by {where}"
                    )
                )
                return

    def _halves(self, ribbon: int) -> tuple[int | None, ...]:
        """The units of a ribbon: itself, or its twelves where it is a whole 24 and is split."""
        return (1, 2) if self.lane.cable.fibres_of_ribbon(ribbon) == 24 else (None,)

    def units_in_order(self) -> Iterator[tuple[int, int | None]]:
        """Every ribbon (with its half) or fibre, in the order written."""
        if self.halves:
            return ((r, half) for a, b in self.ranges for r in range(a, b + 1) for half in self._halves(r))
        return ((unit, None) for a, b in self.ranges for unit in range(a, b + 1))

    def fibres_of(self, ribbon: int) -> int:
        """How many fibres one unit of a ribbon joins."""
        fibres = self.lane.cable.fibres_of_ribbon(ribbon)
        return 12 if self.halves and fibres == 24 else fibres

    def tube_of(self, unit: int) -> int:
        """The tube of a ribbon or fibre."""
        cable = self.lane.cable
        return cable.tube_of_ribbon(unit if self.side.ribbons is not None else cable.ribbon_of_fibre(unit))

    def end(self, unit: int, half: int | None) -> RibbonEnd:
        """The end of one unit, as the splice map names it."""
        if self.side.ribbons is not None:
            return RibbonEnd(self.side.cable, unit, None, half, self.side.end)
        return RibbonEnd(self.side.cable, self.lane.cable.ribbon_of_fibre(unit), unit, None, self.side.end)


def cables_by_tag(request: PlanRequest, catalogue: Catalogue) -> Mapping[str, tuple[CableAtPoint, Cable]]:
    """The cables of a request already laid out with their catalogue entries, by tag, in its order."""
    return {at_point.tag: (at_point, catalogue.cables[at_point.cable]) for at_point in request.cables}
