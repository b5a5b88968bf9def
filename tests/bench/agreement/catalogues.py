"""Catalogues of one closure, drawn by seed: trays of every make, cables in tubes of every size, all of it invented."""

from __future__ import annotations

from decimal import Decimal
from random import Random

from service.domain.catalogue import Bank, Cable, Catalogue, Closure, Port, RibbonForm, Sleeve, Tray, TrayAllowance

SLOT_KINDS = ("wide", "narrow", "round")
SLEEVES = (
    Sleeve("s-12", "ribbon of 12", "ribbon", 12, 40.0, "wide", 10, price=Decimal("20.00")),
    Sleeve("s-4", "ribbon of 4", "ribbon", 4, 40.0, "narrow", 10, price=Decimal("12.00")),
    Sleeve("s-1", "single fibre", "single", 1, 40.0, "round", 50, price=Decimal("10.00")),
)
PORTS = (Port("side", 10, 3.0, 40.0, 2),)


def slots(rng: Random, small: bool) -> dict[str, int]:
    """What one bank gives of each slot kind; now and then nothing of one."""
    most = rng.choice((2, 4, 6)) if small else rng.choice((6, 8, 12))
    given = {kind: rng.randint(1, most) if small else most * n for n, kind in enumerate(SLOT_KINDS, start=1)}
    if rng.random() < 0.25:
        del given[rng.choice(SLOT_KINDS)]
    return given


def tray(rng: Random, number: int, small: bool, limits: bool) -> Tray:
    """A tray of one to three banks, alike or not, with a channel and an entry limit in some catalogues."""
    if rng.random() < 0.7:
        banks: tuple[Bank, ...] = (Bank(rng.randint(1, 2), slots(rng, small)),)
    else:
        banks = (Bank(1, slots(rng, small)), Bank(1, slots(rng, small)))
    channel = rng.choice((None, 15.0, 30.0, 60.0)) if small else rng.choice((None, 120.0, 260.0))
    entry = rng.choice((None, 4, 8)) if small else rng.choice((None, 24, 40))
    return Tray(
        code=f"tray-{number}",
        title="a tray",
        pitch_mm=rng.choice((6.0, 9.0, 10.5, 12.0, 18.0)),
        banks=banks,
        turn_mm=float(rng.choice((300, 400, 500))),
        bend_radius_mm=35.0,
        storage_mm2=channel if limits else None,
        entry_mm=float(rng.choice((100, 200))),
        entry_ribbons_max=entry if limits else None,
        price=Decimal(rng.choice(("15.00", "19.90", "20.00", "35.00", "41.50"))),
    )


def cable(rng: Random, code: str, fibres: int, small: bool) -> Cable:
    """A ribbon cable with so many fibres a ribbon, or loose tubes."""
    form: RibbonForm = rng.choice(("flat", "rollable", "rollable"))
    tube = rng.choice((1, 2, 3, 4)) if small else rng.choice((3, 4, 6, 6, 12))
    ribbons = 12 if small else 48
    return Cable(code, "a cable", 12.0, ribbons * fibres, fibres, tube, form, 250, "G.657.A1")


def catalogue(rng: Random, small: bool) -> Catalogue:
    """One closure that takes one to three trays, four cables, three sleeves."""
    limits = rng.random() < 0.35
    trays = [tray(rng, number, small, limits) for number in range(rng.randint(1, 3))]
    most = (1, 2, 4) if small else (4, 8, 12)
    stack = rng.choice((27.0, 36.0, 40.0, 54.0)) if small else rng.choice((96.0, 150.0, 240.0))
    closure = Closure(
        "closure", "a closure", "dome", stack, tuple(TrayAllowance(each.code, rng.choice(most)) for each in trays),
        PORTS, 600.0, price=Decimal("100.00"),
    )  # fmt: skip
    cables = [cable(rng, "big", 12, small), cable(rng, "other", 12, small), cable(rng, "four", 4, small)]
    cables += [cable(rng, "four-too", 4, small)]
    return Catalogue(
        sleeves={each.code: each for each in SLEEVES},
        trays={each.code: each for each in trays},
        closures={"closure": closure},
        cables={each.code: each for each in cables},
    )
