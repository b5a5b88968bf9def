"""Requests drawn by seed over a catalogue of their own: joints of every kind, rules, hanging trays."""

from __future__ import annotations

from random import Random

from service.domain.catalogue import Catalogue
from service.domain.request import CableAtPoint, ExistingBank, ExistingTray, Joint, PlanRequest, Reserve, Rules, Side
from tests.bench.agreement.catalogues import catalogue


def joints(rng: Random, drawn: Catalogue, small: bool) -> list[Joint]:
    """Runs of ribbons of 12 and of 4, and single fibres; each end is used once at most."""
    at = dict.fromkeys(drawn.cables, 1)
    found: list[Joint] = []
    labels = [None, None, *["lease", "rail", "water"][: rng.randint(0, 3)]]
    for _ in range(rng.randint(1, 3) if small else rng.randint(2, 9)):
        one, other = rng.choice((("big", "other"), ("big", "other"), ("four", "four-too")))
        label = rng.choice(labels)
        last = min(drawn.cables[one].ribbons, drawn.cables[other].ribbons)
        run = min(rng.randint(1, 4 if small else 12), last - max(at[one], at[other]) + 1)
        if run < 1:
            continue
        size = drawn.cables[one].ribbon_fibres
        sides = []
        fibres = rng.randint(1, 3 if small else size)
        by_fibre = rng.random() < 0.25
        for tag in (one, other):
            first = at[tag]
            ranges = ((first, first + run - 1),)
            single = (((first - 1) * size + 1, (first - 1) * size + min(fibres, size)),)
            sides.append(Side(tag, None, single) if by_fibre else Side(tag, ranges))
            at[tag] += (1 if by_fibre else run) + (rng.random() < 0.2)
        found.append(Joint(sides[0], sides[1], label))
    return found or [Joint(Side("big", ((1, 1),)), Side("other", ((1, 1),)))]


def hanging(rng: Random, drawn: Catalogue, small: bool) -> tuple[ExistingTray, ...]:
    """In every third request one or two trays as they may be found in the closure."""
    closure = drawn.closures["closure"]
    trays: list[ExistingTray] = []
    if rng.random() < 0.65:
        return ()
    room = closure.stack_mm
    for allowance in closure.trays[: rng.randint(1, 2)]:
        model = drawn.trays[allowance.tray]
        if model.pitch_mm > room:
            continue
        room -= model.pitch_mm
        banks = []
        for number, gives in enumerate(model.single_banks(), start=1):
            if rng.random() < 0.6:
                kind = rng.choice(sorted(gives))
                banks.append(ExistingBank(number, kind, rng.randint(0, gives[kind])))
        used = rng.randint(0, 2) * 1.0 if model.storage_mm2 else 0.0
        entered = rng.randint(0, 2) if model.entry_ribbons_max else 0
        label = rng.choice((None, None, "lease"))
        trays.append(ExistingTray(model.code, tuple(banks), label, used, entered))
    return tuple(trays)


def rules(rng: Random, small: bool) -> Rules:
    """The rules that the packing depends on."""
    percent = rng.choice((0.0, 0.0, 7.5, 25.0)) if not small else rng.choice((0.0, 0.0, 25.0))
    return Rules(
        minimise=rng.choice(("trays", "trays", "price")),
        keep=rng.choice(("tube", "tube", "joint", "none")) if not small else rng.choice(("tube", "tube", "joint")),
        split=rng.choice(("never", "oversize", "free")),
        reserve=Reserve(percent, rng.choice(("trays", "stack"))),
        stored_ends=rng.choice(("storage", "storage", "slots")),
        spare_trays=rng.choice((0, 0, 0, 1)),
        rework=0.05,
    )


def drawn_request(seed: str, small: bool) -> tuple[PlanRequest, Catalogue]:
    """A request and the catalogue that it is to be planned from; in one of seven a cable passes through."""
    rng = Random(seed)
    over = catalogue(rng, small)
    asked = joints(rng, over, small)
    tags = sorted({side.cable for joint in asked for side in (joint.from_, joint.to)})
    passing = rng.choice(tags) if rng.random() < 0.15 else None
    cables = tuple(CableAtPoint(tag, tag, express=tag == passing) for tag in tags)
    found = hanging(rng, over, small)
    return PlanRequest(cables, tuple(asked), "drawn", ("closure",), rules(rng, small), existing_trays=found), over
