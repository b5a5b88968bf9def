"""A small catalogue for tests, all its figures invented; round numbers, so that answers can be worked by hand."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

from service.domain.catalogue import (
    Bank,
    Cable,
    Catalogue,
    Closure,
    Port,
    Sleeve,
    Tray,
    TrayAllowance,
)
from service.domain.request import CableAtPoint, Joint, PlanRequest, Rules, Side

SLEEVES = (
    Sleeve("s1-40", "single sleeve, 40 mm", "single", 1, 40.0, "single", 50, price=Decimal("10.00")),
    Sleeve("rs-4", "ribbon sleeve for 4 fibres", "ribbon", 4, 40.0, "ribbon-12", 10, price=Decimal("12.00")),
    Sleeve("rs-12", "ribbon sleeve for 12 fibres", "ribbon", 12, 40.0, "ribbon-12", 10, price=Decimal("20.00")),
    Sleeve("rs-24", "ribbon sleeve for 24 fibres", "ribbon", 24, 40.0, "ribbon-24", 10, price=Decimal("40.00")),
)

TRAYS = (
    Tray(
        "r6",
        "six ribbon slots",
        12.0,
        (Bank(1, {"ribbon-12": 6, "ribbon-24": 3, "single": 12}),),
        400.0,
        30.0,
        entry_mm=200.0,
        price=Decimal("20.00"),
    ),
    Tray(
        "r12",
        "twelve ribbon slots in two banks",
        18.0,
        (Bank(2, {"ribbon-12": 6, "single": 12}),),
        400.0,
        30.0,
        entry_mm=200.0,
        price=Decimal("35.00"),
    ),
    Tray(
        "s24", "24 single slots", 9.0, (Bank(1, {"single": 24}),), 400.0, 30.0, entry_mm=200.0, price=Decimal("15.00")
    ),
)

CLOSURES = (
    Closure(
        "dome-24",
        "small dome",
        "dome",
        36.0,
        (TrayAllowance("r6", 3), TrayAllowance("s24", 3)),
        (Port("round", 4, 5.0, 20.0, 1),),
        700.0,
        opening_step_mm=50.0,
        length_mm=400.0,
        diameter_mm=200.0,
        price=Decimal("90.00"),
    ),
    Closure(
        "dome-48",
        "middle dome",
        "dome",
        96.0,
        (TrayAllowance("r6", 8), TrayAllowance("r12", 5), TrayAllowance("s24", 4)),
        (Port("oval", 1, 10.0, 25.0, 2), Port("round", 4, 5.0, 20.0, 1)),
        700.0,
        opening_step_mm=50.0,
        length_mm=500.0,
        diameter_mm=250.0,
        price=Decimal("150.00"),
    ),
    Closure(
        "line-96",
        "large inline",
        "inline",
        200.0,
        (TrayAllowance("r12", 10), TrayAllowance("s24", 10)),
        (Port("left", 4, 5.0, 30.0, 1), Port("right", 4, 10.0, 30.0, 1)),
        800.0,
        opening_step_mm=50.0,
        length_mm=700.0,
        diameter_mm=250.0,
        price=Decimal("300.00"),
    ),
)

CABLES = (
    Cable("flat-288", "flat ribbon, 288", 18.0, 288, 12, 6, "flat", 250, "G.652.D"),
    Cable("roll-288", "rollable ribbon, 288", 13.0, 288, 12, 12, "rollable", 200, "G.657.A1"),
    Cable("flat-24s", "flat 24-fibre ribbons, 288", 18.0, 288, 24, 3, "flat", 250, "G.652.D"),
    Cable("loose-96", "loose tubes of 12, 96", 11.0, 96, 12, 1, "loose", 250, "G.652.D"),
    Cable("bare-8", "loose drop, 8, never ribbonised", 6.0, 8, 1, 8, "loose", 250, "G.657.A2", ribbonise=False),
    Cable("drop-24", "flat ribbon drop, 24", 9.0, 24, 12, 2, "flat", 250, "G.652.D"),
    Cable("odd-100", "flat ribbon, 100: the last ribbon has 4", 12.0, 100, 12, 6, "flat", 250, "G.652.D"),
)


def small_catalogue() -> Catalogue:
    """The whole small catalogue (no methods: the shipped defaults; no material rules)."""
    return Catalogue(
        sleeves={entry.code: entry for entry in SLEEVES},
        trays={entry.code: entry for entry in TRAYS},
        closures={entry.code: entry for entry in CLOSURES},
        cables={entry.code: entry for entry in CABLES},
    )


def side(tag: str, ribbons: str | None = None, fibres: str | None = None, end: str = "in") -> Side:
    """One side of a joint from range texts."""

    def ranges(text: str | None) -> tuple[tuple[int, int], ...] | None:
        if text is None:
            return None
        parts = [part.split("-") for part in text.split(",")]
        return tuple((int(part[0]), int(part[-1])) for part in parts)

    return Side(tag, ranges(ribbons), ranges(fibres), end)  # type: ignore[arg-type]


def ribbon_joint(from_: str, ribbons: str, to: str, to_ribbons: str, **more: object) -> Joint:
    """A joint by ribbons."""
    return Joint(side(from_, ribbons), side(to, to_ribbons), **more)  # type: ignore[arg-type]


def fibre_joint(from_: str, fibres: str, to: str, to_fibres: str, **more: object) -> Joint:
    """A joint by fibres."""
    return Joint(side(from_, fibres=fibres), side(to, fibres=to_fibres), **more)  # type: ignore[arg-type]


def request_for(
    cables: dict[str, str],
    joints: list[Joint],
    closures: tuple[str, ...] = ("dome-48",),
    express: str = "",
    **rules: object,
) -> PlanRequest:
    """A request over cables given as tag -> code; ``express`` names the tags that pass through."""
    return PlanRequest(
        cables=tuple(CableAtPoint(tag, code, express=tag in express.split()) for tag, code in cables.items()),
        joints=tuple(joints),
        closures=closures,
        rules=replace(Rules(), **rules),  # type: ignore[arg-type]
    )
