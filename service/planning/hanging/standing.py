"""A hung closure as a plan request tells it: its trays with what is taken of them, its cables in their ports."""

from __future__ import annotations

from service.domain.catalogue import Cable, Catalogue
from service.domain.faults import Fault, Refused
from service.domain.installation import Contents, HungCable, HungTray
from service.domain.request import CableAtPoint, ExistingBank, ExistingTray, HangingCable
from service.planning.hanging.ends import as_ranges, slots_taken, spliced_fibres


def hanging_trays(contents: Contents) -> tuple[ExistingTray, ...]:
    """The trays, in the order of their positions."""
    return tuple(_tray(contents, tray) for tray in sorted(contents.trays, key=lambda tray: tray.position))


def hanging_cables(contents: Contents, catalogue: Catalogue) -> tuple[CableAtPoint, ...]:
    """The cables with their ports and the fibres that are cut and spliced; of an abandoned one nothing is in use.

    Raises ``Refused`` where the catalogue has one of them no more.
    """
    models = cable_models(contents, catalogue)
    return tuple(
        CableAtPoint(hung.tag, hung.cable, hung.slack_m, hung.express, _cable(contents, hung, models[hung.tag]))
        for hung in contents.cables
    )


def cable_models(contents: Contents, catalogue: Catalogue) -> dict[str, Cable]:
    """The catalogue's entries of the cables that hang, by tag; ``Refused`` where one is missing."""
    missing = sorted({hung.cable for hung in contents.cables if hung.cable not in catalogue.cables})
    if missing:
        raise Refused(
            Fault("", "unknown_code", f"a cable that hangs is a {code!r}, which the catalogue has not in use any more")
            for code in missing
        )
    return {hung.tag: catalogue.cables[hung.cable] for hung in contents.cables}


def _tray(contents: Contents, tray: HungTray) -> ExistingTray:
    banks = []
    for bank in tray.banks:
        taken = slots_taken(contents, tray.position, bank.bank)
        # The first slots are what a request means that names none.
        first = taken == set(range(1, len(taken) + 1))
        banks.append(ExistingBank(bank.bank, bank.slot_kind, len(taken), () if first else as_ranges(taken)))
    return ExistingTray(tray.tray, tuple(banks), tray.keep_apart, tray.storage_used_mm2, tray.ribbons)


def _cable(contents: Contents, hung: HungCable, cable: Cable) -> HangingCable:
    spliced = as_ranges(spliced_fibres(contents.splices, hung.tag, "in", cable))
    spliced_out = as_ranges(spliced_fibres(contents.splices, hung.tag, "out", cable))
    return HangingCable(hung.ports, hung.cut, spliced, spliced_out, hung.window_mm)
