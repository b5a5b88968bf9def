"""A small plan written by hand, every part of it, with its request and catalogue; and one that does not fit."""

from __future__ import annotations

from decimal import Decimal

from service.domain.catalogue import Cable, Catalogue, Closure, Sleeve, Tray
from service.domain.plan import (
    Alternative,
    BankUse,
    Bend,
    Coil,
    CrewGain,
    CrewTime,
    MaterialLine,
    ParkedEnds,
    PlacedSplice,
    Plan,
    PlannedTray,
    PortUse,
    Preparation,
    Reason,
    ReserveHeld,
    SiteFit,
    Slack,
    SlackRoom,
    SleeveCount,
)
from service.domain.proof import Proof
from service.domain.refusal import LargestPart, LeftOver, Remedy
from service.domain.request import CableAtPoint, PlanRequest, Rules
from service.domain.splices import Lanes, RibbonEnd


def ribbon_splice(slot: int, ribbon: int, to: int | None = None, bundle: int = 1) -> PlacedSplice:
    """Ribbon ``ribbon`` of A to the same (or ``to``) of B, in a slot of bank 1."""
    return PlacedSplice(1, slot, RibbonEnd("A", ribbon), RibbonEnd("B", to or ribbon), 12, "rs", bundle)


def fibre_splice(slot: int, fibre: int, bundle: int = 2) -> PlacedSplice:
    """Fibre ``fibre`` of A (12 a ribbon) to the same of C, in a slot of bank 2."""
    from_ = RibbonEnd("A", (fibre - 1) // 12 + 1, fibre)
    return PlacedSplice(2, slot, from_, RibbonEnd("C", 1, fibre - 84), 1, "ss", bundle)


CATALOGUE = Catalogue(
    sleeves={
        "rs": Sleeve("rs", "Ribbon sleeve", "ribbon", 12, 40, "ribbon", 25),
        "ss": Sleeve("ss", "Single sleeve", "single", 1, 60, "single", 50),
    },
    trays={"mix": Tray("mix", "Mixed tray", 15, (), 438.8, 38)},
    closures={"dome": Closure("dome", "Small dome", "dome", 30, (), (), 450)},
    cables={
        "flat-96": Cable("flat-96", "Flat ribbon", 14, 96, 12, 4, "flat", 250, "G.652.D"),
        "drop": Cable("drop", "Drop", 5, 12, 12, 1, "loose", 250, "G.657.A1"),
    },
)

REQUEST = PlanRequest(
    cables=(CableAtPoint("A", "flat-96", 15), CableAtPoint("B", "flat-96", 15, True), CableAtPoint("C", "drop")),
    joints=(),
)

FITTING = Plan(
    name="Mill Stile, handhole 1",
    fits=True,
    closure="dome",
    rules=Rules(),
    bundles=3,
    splices=8,
    trays=(
        PlannedTray(
            position=1,
            tray="mix",
            new=True,
            banks=(BankUse(1, "ribbon", 6, 6), BankUse(2, "single", 12, 2)),
            splices=(
                *(ribbon_splice(slot, slot) for slot in (1, 2, 3, 4)),
                *(ribbon_splice(slot, slot, bundle=3) for slot in (5, 6)),
                fibre_splice(1, 86),
                fibre_splice(2, 87),
            ),
            parked=(ParkedEnds("A", 2, 1, 10),),
            keep_apart="lease",
            stored_turns=4,
            storage_used_mm2=58.25,
            storage_mm2=240.0,
        ),
    ),
    proof=Proof(True, 1, 1, 15.0, 15.0, 0, 0, 3, 3, "one tray cannot be undercut", 0),
    ports=(
        PortUse("oval-1", ("B", "B"), (14.0,)),
        PortUse("round-1", ("A",), (14.0,)),
        PortUse("round-2", ("C",), (5.0,)),
    ),
    spare_ports=("round-3", "round-4"),
    slack=(Slack("A", 1027.6, 2, 1500.0, 2, None, 15), Slack("B", 1027.6, 2, 1500.0, 2, 3000.0, 15)),
    bend=Bend(True, {"1550": 0.004, "1625": 0.004}, "G.652.D: stored at 30 mm or more", 38.0, 30.0),
    reserve=(ReserveHeld("ribbon", 0, 0, 12), ReserveHeld("single", 10, 1)),
    sleeves=(SleeveCount("rs", 6, 2, 8, 1, 0.08, 0.95), SleeveCount("ss", 2, 1, 3, 1, 0.02, 0.95)),
    materials=(
        MaterialLine(
            "closure",
            "dome",
            "Small dome",
            Decimal(1),
            "piece",
            1,
            "one is hung",
            price=Decimal("92.00"),
            currency="EUR",
        ),
        MaterialLine(
            "material",
            "wipe",
            "Lint-free wipe",
            Decimal("12.50"),
            "piece",
            1,
            "25 ribbon ends, half a wipe each",
            included=Decimal(2),
            price=Decimal("4.10"),
            currency="EUR",
        ),
        MaterialLine("material", "tag", "Cable tag", Decimal(3), "piece", 1, "3 cables, 1 each"),
    ),
    preparation=(
        Preparation(
            "flat", "Flat ribbon", "flat", 12, 12, 3.0, 3, 30.0, 6.35, 10.0, 45.0, "12-fibre holder", "Pre-coil", True
        ),
    ),
    lanes=(Lanes("A", 74, 22, 0, (1, 2), 0), Lanes("B", 72, 0, 24, (1, 2), 0), Lanes("C", 2, 10, 0, (1,), 0)),
    crew=CrewTime(
        2.25,
        2.84,
        False,
        "strip",
        ("one technician does everything by hand",),
        splices_in_window=5,
        gains=(
            CrewGain("technician", 1.61, 2.02, 0.82, True),
            CrewGain("splicer", 2.25, 2.84, 0.0, False),
            CrewGain("heater", 2.11, 2.7, 0.14, False),
        ),
    ),
    site=SiteFit(
        None,
        (Coil("A", 380.0, 13, 58.3, True, 340.0, 496.6, 58.3),),
        ("the closure has no length in the catalogue",),
        258.3,
        True,
        (SlackRoom("A", 31.25), SlackRoom("C", 40.0)),
    ),
    alternatives=(
        Alternative("tall-dome", True, 1, Decimal("140.00"), "EUR", 21.4),
        Alternative(
            "tiny", False, reasons=(Reason("ports", 4, 3, "entries", "three"), Reason("stack", 15, 9, "mm", "low"))
        ),
    ),
    notes=("the loose fibres of C stay loose",),
    cautions=("Fibre ends are glass and go into skin and eyes: wear glasses, count off-cuts, follow local rules.",),
)

REFUSED = Plan(
    name="Mill Stile, handhole 2",
    fits=False,
    closure="dome",
    rules=Rules(),
    bundles=3,
    splices=36,
    reasons=(Reason("stack", 45, 30, "mm", "3 trays stand 45 mm high and the stack of closure dome is 30 mm"),),
    remedies=(
        Remedy("keep_apart", "lease", True, "let the splices of 'lease' share trays with others", ("lease",), 1),
        Remedy("closure", "tall-dome", True, "take closure tall-dome", ("tall-dome",), None, Decimal(12), "EUR", True),
        Remedy("ports", "1 x 9 mm", False, "a port kit", buys=True),
        Remedy("splices", "24", True, "splice 24 of the 36 in closure dome and the others elsewhere", amount=24),
    ),
    largest_part=LargestPart(
        "dome",
        24,
        26,
        False,
        (
            LeftOver(2, 0, 4, 12, "ribbon", 12, None, "A", 2, "21-24", "B", 1, "9-12"),
            LeftOver(3, 1, 8, 8, "single", 1, "lease", "A", 3, "25-32", "C", 0, "1-8"),
        ),
        ("C",),
    ),
    largest_part_undivided=LargestPart(
        "dome", 12, 12, True, (LeftOver(2, 0, 12, 12, "ribbon", 12, None, "A", 2, "13-24", "B", 1, "1-12"),)
    ),
    cautions=("Fibre ends are glass.",),
)
